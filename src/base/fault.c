/* src/base/fault.c: saying that the machine failed. */
#include "fault.h"

#include <errno.h>

sw_status swi_out_of_memory(sw_diags *diags) {
    sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE,
                "memory is out: close other programs or give a smaller input");
    return SW_SYSTEM;
}

const char *swi_errno_text(int error) {
    switch (error) {
    case ENOENT: return "no such file or folder";
    case ENOTDIR: return "a part of the path is not a folder";
    case EISDIR: return "it is a folder";
    case EACCES:
    case EPERM: return "permission denied";
    case EROFS: return "the disk can only be read";
    case ENOSPC: return "the disk is full";
#ifdef EDQUOT
    case EDQUOT: return "the disk quota is used up";
#endif
    case EFBIG: return "the file is too large";
    case EIO: return "the disk or device failed";
    case EPIPE: return "the reader has gone away";
    case EBADF: return "it is closed";
    case EMFILE:
    case ENFILE: return "too many files are open";
    case ENAMETOOLONG: return "the name is too long";
    case ELOOP: return "too many symbolic links";
    case EBUSY:
    case ETXTBSY: return "it is in use";
    case ENOMEM: return "memory is out";
    default: return "the system refused";
    }
}
