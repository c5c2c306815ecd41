/* Preloaded into a daemon: writes down what SQLite writes, cuts and syncs, in order, so that afterwards the
 * disk can be put as a power cut may leave it: what was synced is there, of the rest any part or nothing.
 * Build: cc -shared -fPIC -O1 -o lost_writes.so lost_writes.c -ldl
 * A record: kind (w, t, s, u), 1 byte; length of the path, 2; offset or size, 8; length of the data, 8;
 * path; data. Numbers are of the machine's own byte order.
 *
 * And a disk that fails: while the file that LOST_WRITES_ERRNO names is there, every write to the store fails
 * with the error number that stands in it. While the file that LOST_READS_FROM names is there, no byte of the
 * store's file from the number on that stands in it can be read (EIO).
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <unistd.h>

static int journal = -1;
static pthread_mutex_t one_at_a_time = PTHREAD_MUTEX_INITIALIZER;

static int of_the_store(const char *path) {
    const char *name = strrchr(path, '/');
    name = name ? name + 1 : path;
    return !strcmp(name, "station.db") || !strcmp(name, "station.db-wal") || !strcmp(name, "station.db-journal");
}

static int path_of(int fd, char *path) {
    char link[40];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return of_the_store(path);
}

static void put(const void *data, size_t length) {
    const char *rest = data;
    while (length > 0) {
        long done = syscall(SYS_write, journal, rest, length);
        if (done <= 0) return;
        rest += done;
        length -= (size_t)done;
    }
}

static void note(char kind, const char *path, int64_t where, const void *data, int64_t length) {
    uint16_t path_length = (uint16_t)strlen(path);
    pthread_mutex_lock(&one_at_a_time);
    if (journal < 0) {
        const char *to = getenv("LOST_WRITES_LOG");
        if (to) journal = open(to, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    }
    if (journal >= 0) {
        char head[19];
        head[0] = kind;
        memcpy(head + 1, &path_length, 2);
        memcpy(head + 3, &where, 8);
        memcpy(head + 11, &length, 8);
        put(head, sizeof head);
        put(path, path_length);
        if (length) put(data, (size_t)length);
    }
    pthread_mutex_unlock(&one_at_a_time);
}

static int number_in(const char *variable) {
    const char *told = getenv(variable);
    FILE *file = told ? fopen(told, "r") : NULL;
    int number = 0;
    if (file) {
        if (fscanf(file, "%d", &number) != 1) number = 0;
        fclose(file);
    }
    return number;
}

static int disk_fails(void) {
    int number = number_in("LOST_WRITES_ERRNO");
    if (number) errno = number;
    return number;
}

static int is_lost(int fd, size_t length, off_t where) {
    char path[PATH_MAX];
    int from = getenv("LOST_READS_FROM") && path_of(fd, path) ? number_in("LOST_READS_FROM") : 0;
    if (!from || strcmp(path + strlen(path) - strlen("station.db"), "station.db")) return 0;
    if (where + (off_t)length <= from) return 0;
    errno = EIO;
    return 1;
}

/* A sync is noted when it is over, all else before it is done: what is noted as synced was. */
#define REAL(name, type) ((type)dlsym(RTLD_NEXT, name))

#define PWRITE(name)                                                                       \
    ssize_t name(int fd, const void *data, size_t length, off_t where) {                   \
        char path[PATH_MAX];                                                               \
        if (path_of(fd, path)) {                                                           \
            if (disk_fails()) return -1;                                                   \
            note('w', path, where, data, (int64_t)length);                                 \
        }                                                                                  \
        return REAL(#name, ssize_t(*)(int, const void *, size_t, off_t))(fd, data, length, where); \
    }
PWRITE(pwrite)
PWRITE(pwrite64)

#define PREAD(name)                                                                                 \
    ssize_t name(int fd, void *data, size_t length, off_t where) {                                  \
        if (is_lost(fd, length, where)) return -1;                                                  \
        return REAL(#name, ssize_t(*)(int, void *, size_t, off_t))(fd, data, length, where);        \
    }
PREAD(pread)
PREAD(pread64)

ssize_t write(int fd, const void *data, size_t length) {
    char path[PATH_MAX];
    if (path_of(fd, path)) {
        if (disk_fails()) return -1;
        note('w', path, lseek(fd, 0, SEEK_CUR), data, (int64_t)length);
    }
    return REAL("write", ssize_t(*)(int, const void *, size_t))(fd, data, length);
}

#define TRUNCATE(name)                                             \
    int name(int fd, off_t size) {                                 \
        char path[PATH_MAX];                                       \
        if (path_of(fd, path)) note('t', path, size, NULL, 0);     \
        return REAL(#name, int (*)(int, off_t))(fd, size);         \
    }
TRUNCATE(ftruncate)
TRUNCATE(ftruncate64)

#define SYNC(name)                                                            \
    int name(int fd) {                                                        \
        char path[PATH_MAX];                                                  \
        int done = REAL(#name, int (*)(int))(fd);                             \
        if (done == 0 && path_of(fd, path)) note('s', path, 0, NULL, 0);      \
        return done;                                                          \
    }
SYNC(fsync)
SYNC(fdatasync)

int unlink(const char *path) {
    if (of_the_store(path)) note('u', path, 0, NULL, 0);
    return REAL("unlink", int (*)(const char *))(path);
}
