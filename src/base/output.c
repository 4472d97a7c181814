/* src/base/output.c: files that are whole or not there at all. */
#include "fault.h"
#include "text.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

static sw_status failed(sw_diags *diags, const char *path, int error) {
    sw_diag_add(diags, SW_D_OUTPUT_FAILED, SW_NOWHERE,
                "cannot write %s: %s; name another place or make room", path,
                swi_errno_text(error));
    return SW_SYSTEM;
}

/* 0, or errno. */
static int write_all(int file, const char *bytes, size_t length) {
    while (length) {
        size_t piece = length < (size_t)1 << 30 ? length : (size_t)1 << 30;
        ssize_t put = write(file, bytes, piece);
        if (put < 0 && errno != EINTR)
            return errno;
        if (put > 0) {
            bytes += put;
            length -= (size_t)put;
        }
    }
    return 0;
}

static sw_status write_directly(sw_diags *diags, const char *path, const char *bytes,
                                size_t length) {
    bool standard = strcmp(path, "-") == 0;
    int file = standard ? STDOUT_FILENO : open(path, O_WRONLY | O_CLOEXEC | O_NOCTTY);
    if (file < 0)
        return failed(diags, path, errno);
    int error = write_all(file, bytes, length);
    if (!standard && close(file) < 0 && !error)
        error = errno;
    return error ? failed(diags, standard ? "standard output" : path, error) : SW_OK;
}

/* Opens a new file beside the target; *name is to be freed.  The mode is left to
 * the umask, which cannot be asked for without changing it. */
static int open_beside(const char *target, char **name) {
    enum { TRIES = 1000 };
    const char *slash = strrchr(target, '/');
    int folder = slash ? (int)(slash - target) + 1 : 0;
    size_t size = (size_t)folder + 64;
    *name = malloc(size);
    if (!*name) {
        errno = ENOMEM;
        return -1;
    }
    for (int i = 0; i < TRIES; i++) {
        snprintf(*name, size, "%.*s.stripwright-%ld-%d.new", folder, target, (long)getpid(), i);
        int file = open(*name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (file >= 0 || errno != EEXIST)
            return file;
    }
    return -1;
}

static int write_and_rename(const char *target, const struct stat *old, const char *bytes,
                            size_t length) {
    char *fresh;
    int file = open_beside(target, &fresh);
    int error = file < 0 ? errno : write_all(file, bytes, length);
    if (file >= 0) {
        if (!error && old && fchmod(file, old->st_mode & 0777) < 0)
            error = errno;
        if (close(file) < 0 && !error)
            error = errno;
        if (!error && rename(fresh, target) < 0)
            error = errno;
        if (error)
            unlink(fresh);
    }
    free(fresh);
    return error;
}

/* The file behind symbolic links is the one that is replaced. */
static sw_status write_whole(sw_diags *diags, const char *path, const struct stat *old,
                             const char *bytes, size_t length) {
    if (old && access(path, W_OK) < 0)
        return failed(diags, path, errno);
    char *real = old ? realpath(path, NULL) : NULL;
    int error = write_and_rename(real ? real : path, old, bytes, length);
    free(real);
    return error ? failed(diags, path, error) : SW_OK;
}

static sw_status write_bytes(sw_diags *diags, const char *path, const char *bytes, size_t length) {
    struct stat old;
    if (strcmp(path, "-") == 0)
        return write_directly(diags, path, bytes, length);
    if (stat(path, &old) < 0)
        return write_whole(diags, path, NULL, bytes, length);
    if (S_ISDIR(old.st_mode))
        return failed(diags, path, EISDIR);
    if (!S_ISREG(old.st_mode))
        return write_directly(diags, path, bytes, length);
    return write_whole(diags, path, &old, bytes, length);
}

/* As RFC 1952 says, without time and name, system "unknown": the same bytes give
 * the same file.  false: memory is out. */
static bool pack(const char *bytes, size_t length, sw_buf *out) {
    z_stream z = {0};
    gz_header header = {.os = 255};
    if (deflateInit2(&z, Z_BEST_COMPRESSION, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY) != Z_OK)
        return false;
    deflateSetHeader(&z, &header);
    char piece[16384];
    int result = Z_OK;
    while (result != Z_STREAM_END && !out->failed) {
        if (z.avail_in == 0 && length) {
            size_t next = length < (size_t)1 << 30 ? length : (size_t)1 << 30;
            z.next_in = (Bytef *)bytes;
            z.avail_in = (uInt)next;
            bytes += next;
            length -= next;
        }
        z.next_out = (Bytef *)piece;
        z.avail_out = sizeof piece;
        result = deflate(&z, length ? Z_NO_FLUSH : Z_FINISH);
        sw_buf_put(out, piece, sizeof piece - z.avail_out);
    }
    deflateEnd(&z);
    return !out->failed;
}

sw_status sw_output_write(sw_diags *diags, const char *path, const char *bytes, size_t length) {
    if (!swi_match("*.gz", path))
        return write_bytes(diags, path, bytes, length);
    sw_buf packed = SW_BUF_INIT;
    sw_status status = pack(bytes, length, &packed)
                           ? write_bytes(diags, path, packed.bytes, packed.length)
                           : swi_out_of_memory(diags);
    sw_buf_free(&packed);
    return status;
}
