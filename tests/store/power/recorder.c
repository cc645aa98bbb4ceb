/* Writes down what a program asks of its files, so that power cuts can be played afterwards.
 *
 * Loaded with LD_PRELOAD. Every call that changes a file below POWER_FOLDER is done as usual and
 * then put on the tape POWER_TAPE: one record each, with the bytes written. What was synced and
 * what was not is for the player (power.py) to decide.
 *
 * A record: kind (1 byte), inode (8), offset or size (8), length (4), then `length` bytes.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { MADE = 1, WRITTEN, CUT, SYNCED, RENAMED, REMOVED, FOLDER_SYNCED };

static pthread_mutex_t turn = PTHREAD_MUTEX_INITIALIZER;
static int tape = -1;
static const char *folder;
static size_t folder_length;

/* Set by the program under trial itself (ctypes): let the n-th call from now on fail, as on a disk
 * that is full or dying. Afterwards the disk works again, which is the harder case. */
int power_fail_at = 0, power_error = 0, power_calls = 0;

static int fails(int counts)
{
    if (!counts || !power_error)
        return 0;
    if (++power_calls != power_fail_at)
        return 0;
    errno = power_error;
    return 1;
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

static ssize_t put(const void *data, size_t length)
{
    static ssize_t (*real)(int, const void *, size_t);
    if (!real)
        real = (ssize_t (*)(int, const void *, size_t))dlsym(RTLD_NEXT, "write");
    return real(tape, data, length);
}

static void record(uint8_t kind, uint64_t inode, uint64_t at, const void *data, uint32_t length)
{
    if (power_error)
        return;
    if (tape < 0) {
        const char *name = getenv("POWER_TAPE");
        int (*real)(const char *, int, ...) = (int (*)(const char *, int, ...))dlsym(RTLD_NEXT, "open");
        if (!name)
            return;
        tape = real(name, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    }
    char head[21];
    memcpy(head, &kind, 1);
    memcpy(head + 1, &inode, 8);
    memcpy(head + 9, &at, 8);
    memcpy(head + 17, &length, 4);
    if (put(head, sizeof head) != sizeof head || (length && put(data, length) != (ssize_t)length))
        abort();
}

static int below(const char *path, char *full)
{
    if (!folder) {
        folder = getenv("POWER_FOLDER");
        if (!folder)
            return 0;
        folder_length = strlen(folder);
    }
    if (path[0] == '/') {
        snprintf(full, PATH_MAX, "%s", path);
    } else {
        char here[PATH_MAX / 2];
        if (!getcwd(here, sizeof here))
            return 0;
        snprintf(full, PATH_MAX, "%s/%.2000s", here, path);
    }
    return strncmp(full, folder, folder_length) == 0 && full[folder_length] == '/';
}

static uint64_t watched(int fd, int *is_folder)
{
    char link[64], full[PATH_MAX];
    struct stat facts;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, full, sizeof full - 1);
    if (length <= 0 || fd == tape || !getenv("POWER_FOLDER"))
        return 0;
    full[length] = 0;
    const char *root = getenv("POWER_FOLDER");
    size_t size = strlen(root);
    if (strncmp(full, root, size) || (full[size] != '/' && full[size] != 0))
        return 0;
    if (fstat(fd, &facts))
        return 0;
    if (is_folder)
        *is_folder = S_ISDIR(facts.st_mode);
    return facts.st_ino;
}

static int opened(int (*real)(const char *, int, ...), const char *path, int flags, mode_t mode)
{
    char full[PATH_MAX];
    int known = below(path, full), was_there = 1;
    pthread_mutex_lock(&turn);
    if (known && flags & O_CREAT)
        was_there = access(full, F_OK) == 0;
    if (fails(known && !was_there)) {
        pthread_mutex_unlock(&turn);
        return -1;
    }
    int fd = real(path, flags, mode);
    if (fd >= 0 && known) {
        struct stat facts;
        fstat(fd, &facts);
        if (!was_there)
            record(MADE, facts.st_ino, 0, full, strlen(full));
        else if (flags & O_TRUNC)
            record(CUT, facts.st_ino, 0, NULL, 0);
    }
    pthread_mutex_unlock(&turn);
    return fd;
}

#define OPEN(name)                                                                                 \
    int name(const char *path, int flags, ...)                                                     \
    {                                                                                              \
        mode_t mode = 0;                                                                           \
        if (flags & (O_CREAT | O_TMPFILE)) {                                                       \
            va_list more;                                                                          \
            va_start(more, flags);                                                                 \
            mode = va_arg(more, mode_t);                                                           \
            va_end(more);                                                                          \
        }                                                                                          \
        return opened((int (*)(const char *, int, ...))dlsym(RTLD_NEXT, #name), path, flags, mode); \
    }
OPEN(open)
OPEN(open64)

static void wrote(int fd, const void *data, ssize_t done, off64_t at)
{
    int is_folder = 0, error = errno;
    uint64_t inode = done > 0 ? watched(fd, &is_folder) : 0;
    if (inode && !is_folder)
        record(WRITTEN, inode, at, data, done);
    errno = error;
}

ssize_t write(int fd, const void *data, size_t length)
{
    pthread_mutex_lock(&turn);
    int error = errno;
    off64_t at = lseek64(fd, 0, SEEK_CUR);
    if (at >= 0 && fcntl(fd, F_GETFL) & O_APPEND)
        at = lseek64(fd, 0, SEEK_END);
    errno = error;
    if (at >= 0 && power_error && fails(watched(fd, NULL) != 0)) {
        pthread_mutex_unlock(&turn);
        return -1;
    }
    ssize_t done = REAL(write)(fd, data, length);
    if (at >= 0)
        wrote(fd, data, done, at);
    pthread_mutex_unlock(&turn);
    return done;
}

#define FAIL(counts)                                                                               \
    if (power_error && fails(counts)) {                                                            \
        pthread_mutex_unlock(&turn);                                                               \
        return -1;                                                                                 \
    }

#define PWRITE(name, offset)                                                                       \
    ssize_t name(int fd, const void *data, size_t length, offset at)                               \
    {                                                                                              \
        pthread_mutex_lock(&turn);                                                                 \
        FAIL(watched(fd, NULL) != 0)                                                               \
        ssize_t done = REAL(name)(fd, data, length, at);                                           \
        wrote(fd, data, done, at);                                                                 \
        pthread_mutex_unlock(&turn);                                                               \
        return done;                                                                               \
    }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define TRUNCATE(name, offset)                                                                     \
    int name(int fd, offset size)                                                                  \
    {                                                                                              \
        pthread_mutex_lock(&turn);                                                                 \
        FAIL(watched(fd, NULL) != 0)                                                               \
        int done = REAL(name)(fd, size), error = errno;                                            \
        uint64_t inode = done == 0 ? watched(fd, NULL) : 0;                                        \
        if (inode)                                                                                 \
            record(CUT, inode, size, NULL, 0);                                                     \
        errno = error;                                                                             \
        pthread_mutex_unlock(&turn);                                                               \
        return done;                                                                               \
    }
TRUNCATE(ftruncate, off_t)
TRUNCATE(ftruncate64, off64_t)

#define SYNC(name)                                                                                 \
    int name(int fd)                                                                               \
    {                                                                                              \
        int is_folder = 0;                                                                         \
        pthread_mutex_lock(&turn);                                                                 \
        FAIL(watched(fd, NULL) != 0)                                                               \
        int done = REAL(name)(fd), error = errno;                                                  \
        uint64_t inode = done == 0 ? watched(fd, &is_folder) : 0;                                  \
        if (inode)                                                                                 \
            record(is_folder ? FOLDER_SYNCED : SYNCED, inode, 0, NULL, 0);                         \
        errno = error;                                                                             \
        pthread_mutex_unlock(&turn);                                                               \
        return done;                                                                               \
    }
SYNC(fsync)
SYNC(fdatasync)

int rename(const char *from, const char *to)
{
    char one[PATH_MAX], other[PATH_MAX], both[2 * PATH_MAX];
    pthread_mutex_lock(&turn);
    int known = below(from, one) & below(to, other);
    FAIL(known)
    int done = REAL(rename)(from, to), error = errno;
    if (known && done == 0) {
        int length = snprintf(both, sizeof both, "%s\n%s", one, other);
        record(RENAMED, 0, 0, both, length);
    }
    errno = error;
    pthread_mutex_unlock(&turn);
    return done;
}

int unlink(const char *path)
{
    char full[PATH_MAX];
    pthread_mutex_lock(&turn);
    int known = below(path, full);
    FAIL(known)
    int done = REAL(unlink)(path), error = errno;
    if (known && done == 0)
        record(REMOVED, 0, 0, full, strlen(full));
    errno = error;
    pthread_mutex_unlock(&turn);
    return done;
}
