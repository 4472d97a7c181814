/* src/base/input.c: inputs: files, standard input, gzip (RFC 1952), UTF-16. */
#include "fault.h"
#include "sink.h"
#include "utf16.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

enum { PIECE = 64 * 1024 };

/* Spans count in 32 bits. */
static size_t most_bytes(const sw_diags *diags) {
    size_t most = diags->limits.file_bytes;
    return most < UINT32_MAX - 1 ? most : UINT32_MAX - 1;
}

static sw_status too_large(sw_diags *diags, const char *name) {
    sw_diag_add(diags, SW_D_LIMIT_FILE, SW_NOWHERE,
                "%s is larger than %zu bytes after unpacking: give a smaller one", name,
                most_bytes(diags));
    return SW_BAD_INPUT;
}

static sw_status unreadable(sw_diags *diags, const char *name, int error) {
    sw_diag_id id = error == ENOENT ? SW_D_INPUT_MISSING : SW_D_INPUT_UNREADABLE;
    const char *todo = error == ENOENT   ? "check the name"
                       : error == EISDIR ? "name a file in it"
                                         : "check that it can be read";
    sw_diag_add(diags, id, SW_NOWHERE, "cannot read %s: %s; %s", name, swi_errno_text(error), todo);
    return SW_SYSTEM;
}

/* A regular file's size, so that it is read into no more memory than it needs. */
static size_t expected_bytes(int file) {
    struct stat about;
    if (fstat(file, &about) < 0 || !S_ISREG(about.st_mode) || about.st_size > UINT32_MAX)
        return PIECE;
    return (size_t)about.st_size;
}

/* Reads to the end, or one byte beyond the limit. */
static sw_status read_all(sw_diags *diags, int file, const char *name, sw_buf *out) {
    size_t most = most_bytes(diags);
    size_t piece = expected_bytes(file) + 2;
    for (;; piece = PIECE) {
        if (out->capacity - out->length < 2 &&
            !SWI_GROW(out->bytes, out->capacity, out->length + piece))
            return swi_out_of_memory(diags);
        ssize_t got = read(file, out->bytes + out->length, out->capacity - out->length - 1);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return unreadable(diags, name, errno);
        if (got == 0)
            return SW_OK;
        out->length += (size_t)got;
        if (out->length > most)
            return too_large(diags, name);
    }
}

static bool is_packed(const sw_buf *bytes) {
    return bytes->length >= 2 && (unsigned char)bytes->bytes[0] == 0x1F &&
           (unsigned char)bytes->bytes[1] == 0x8B;
}

static sw_status damaged(sw_diags *diags, const char *name, const char *how) {
    sw_diag_add(diags, SW_D_INPUT_GZIP, SW_NOWHERE,
                "%s is packed with gzip but %s: fetch or pack it again", name, how);
    return SW_BAD_INPUT;
}

/* What follows the members may only be zeros: padding of tapes and blocks. */
static bool only_zeros(const z_stream *z) {
    for (size_t i = 0; i < z->avail_in; i++)
        if (z->next_in[i])
            return false;
    return true;
}

/* One call of inflate with all the room there is; *ended: a member is whole. */
static sw_status unpack_some(sw_diags *diags, const char *name, z_stream *z, sw_buf *out,
                             bool *ended) {
    if (!SWI_GROW(out->bytes, out->capacity, out->length + PIECE + 1))
        return swi_out_of_memory(diags);
    size_t room = out->capacity - out->length - 1;
    uInt piece = room < (1u << 30) ? (uInt)room : 1u << 30;
    z->next_out = (Bytef *)out->bytes + out->length;
    z->avail_out = piece;
    int result = inflate(z, Z_NO_FLUSH);
    size_t got = piece - z->avail_out;
    out->length += got;
    if (out->length > most_bytes(diags))
        return too_large(diags, name);
    if (result == Z_MEM_ERROR)
        return swi_out_of_memory(diags);
    *ended = result == Z_STREAM_END;
    if (result == Z_OK || *ended)
        return z->avail_in == 0 && !*ended && z->avail_out ? damaged(diags, name, "ends too early")
                                                           : SW_OK;
    return damaged(diags, name, result == Z_BUF_ERROR ? "ends too early" : "its data are damaged");
}

/* All members, one after another (RFC 1952 section 2.2). */
static sw_status unpack(sw_diags *diags, const char *name, const sw_buf *packed, sw_buf *out) {
    z_stream z = {.next_in = (Bytef *)packed->bytes, .avail_in = (uInt)packed->length};
    if (inflateInit2(&z, 15 + 16) != Z_OK)
        return swi_out_of_memory(diags);
    sw_status status = SW_OK;
    for (bool ended = false; status == SW_OK;) {
        status = unpack_some(diags, name, &z, out, &ended);
        if (status != SW_OK || !ended)
            continue;
        if (only_zeros(&z))
            break;
        ended = false;
        inflateReset(&z);
    }
    inflateEnd(&z);
    return status;
}

/* Places in such a file are places in its text as UTF-8. */
static sw_status to_utf8(sw_diags *diags, const char *name, sw_buf *bytes) {
    sw_buf wide = *bytes;
    *bytes = (sw_buf)SW_BUF_INIT;
    swi_put_utf16(bytes, wide.bytes, wide.length);
    sw_buf_putc(bytes, '\0'); /* room for it even when there is nothing else */
    sw_buf_free(&wide);
    if (bytes->failed)
        return swi_out_of_memory(diags);
    bytes->length--;
    return bytes->length > most_bytes(diags) ? too_large(diags, name) : SW_OK;
}

static sw_status load(sw_diags *diags, int file, const char *name, sw_buf *bytes) {
    sw_status status = read_all(diags, file, name, bytes);
    if (status == SW_OK && is_packed(bytes)) {
        sw_buf packed = *bytes;
        *bytes = (sw_buf)SW_BUF_INIT;
        status = unpack(diags, name, &packed, bytes);
        sw_buf_free(&packed);
    }
    return status == SW_OK && swi_is_utf16(bytes->bytes, bytes->length) ? to_utf8(diags, name, bytes) : status;
}

static int open_file(const char *path, bool standard) {
    int file = standard ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    struct stat about;
    if (file < 0)
        return -1;
    if (fstat(file, &about) == 0 && S_ISDIR(about.st_mode)) {
        if (!standard)
            close(file);
        errno = EISDIR;
        return -1;
    }
    return file;
}

sw_status sw_input_open(sw_diags *diags, const char *path, sw_input *out) {
    bool standard = strcmp(path, "-") == 0;
    const char *name = standard ? "standard input" : path;
    int file = open_file(path, standard);
    if (file < 0)
        return unreadable(diags, name, errno);
    sw_buf bytes = SW_BUF_INIT;
    sw_status status = load(diags, file, name, &bytes);
    if (!standard)
        close(file);
    if (status != SW_OK) {
        sw_buf_free(&bytes);
        return status;
    }
    bytes.bytes[bytes.length] = '\0';
    return swi_sink_adopt(diags, name, bytes.bytes, bytes.length, out);
}

sw_status sw_input_text(sw_diags *diags, const char *name, const char *bytes, size_t length,
                        sw_input *out) {
    if (length > most_bytes(diags))
        return too_large(diags, name);
    char *copy = malloc(length + 1);
    if (!copy)
        return swi_out_of_memory(diags);
    if (length)
        memcpy(copy, bytes, length);
    copy[length] = '\0';
    return swi_sink_adopt(diags, name, copy, length, out);
}
