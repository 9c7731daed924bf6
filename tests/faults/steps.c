/* Counts what a process does to the files below one folder, and lets the n-th of it fail.
 *
 * Preloaded (LD_PRELOAD) before the C library, so that Python's writes and SQLite's are met alike.
 * Nothing happens until `faults_arm` is called, in the process that is to fail:
 *
 *     mode 0  only count
 *     mode 1  kill -9 just before the n-th step
 *     mode 2  kill -9 in the middle of the n-th step: of a write half is done, of others all
 *     mode 3  the disk is full from the n-th step on: of a write half is done, then ENOSPC
 *
 * A step is a write, a sync, or a change of names. Removing is a step for 1 and 2; on a full disk it
 * still works.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

enum { COUNT, KILL_BEFORE, KILL_AFTER, FULL };

static char folder[PATH_MAX];
static atomic_long counted, failing;
static int mode;

void faults_arm(const char *below, int how, long nth) {
    strncpy(folder, below, sizeof folder - 1);
    mode = how;
    failing = nth;
    counted = 0;
}

long faults_counted(void) { return counted; }

static int below(const char *path) {
    char whole[PATH_MAX];
    if (!folder[0] || !path) return 0;
    if (path[0] != '/') {
        if (!getcwd(whole, sizeof whole)) return 0;
        size_t used = strlen(whole);
        if (used + strlen(path) + 2 > sizeof whole) return 0;
        whole[used] = '/';
        strcpy(whole + used + 1, path);
        path = whole;
    }
    return strncmp(path, folder, strlen(folder)) == 0;
}

static int held(int fd) {
    char link[64], path[PATH_MAX];
    if (!folder[0]) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return below(path);
}

enum { GO, DIE_BEFORE, DIE_AFTER, REFUSE_FIRST, REFUSE };

static int next(void) {
    long number = ++counted;
    if (mode == KILL_BEFORE && number == failing) return DIE_BEFORE;
    if (mode == KILL_AFTER && number == failing) return DIE_AFTER;
    if (mode == FULL && number == failing) return REFUSE_FIRST;
    if (mode == FULL && number > failing) return REFUSE;
    return GO;
}

static void die(void) {
    kill(getpid(), SIGKILL);
    for (;;) pause();
}

#define REAL(name, type) \
    static __typeof__(type) real; \
    if (!real) real = (__typeof__(type))dlsym(RTLD_NEXT, name)

/* A step that is done or not: `frees` where a full disk does not stop it. */
#define STEP(mine, frees, call) \
    do { \
        if (!(mine)) return call; \
        int now = next(); \
        if (now == DIE_BEFORE) die(); \
        if (now >= REFUSE_FIRST && !(frees)) { errno = ENOSPC; return -1; } \
        int done = call; \
        if (now == DIE_AFTER) die(); \
        return done; \
    } while (0)

ssize_t write(int fd, const void *bytes, size_t size) {
    REAL("write", ssize_t (*)(int, const void *, size_t));
    if (!held(fd)) return real(fd, bytes, size);
    int now = next();
    if (now == DIE_BEFORE) die();
    if (now == DIE_AFTER || now == REFUSE_FIRST) {
        ssize_t half = size > 1 ? real(fd, bytes, size / 2) : 0;
        if (now == DIE_AFTER) die();
        if (half > 0) return half; /* the rest is asked for again, and refused */
    }
    if (now >= REFUSE_FIRST) { errno = ENOSPC; return -1; }
    return real(fd, bytes, size);
}

static ssize_t write_at(int fd, const void *bytes, size_t size, off64_t place,
                        ssize_t (*real)(int, const void *, size_t, off64_t)) {
    if (!held(fd)) return real(fd, bytes, size, place);
    int now = next();
    if (now == DIE_BEFORE) die();
    if (now == DIE_AFTER || now == REFUSE_FIRST) {
        ssize_t half = size > 1 ? real(fd, bytes, size / 2, place) : 0;
        if (now == DIE_AFTER) die();
        if (half > 0) return half;
    }
    if (now >= REFUSE_FIRST) { errno = ENOSPC; return -1; }
    return real(fd, bytes, size, place);
}

ssize_t pwrite64(int fd, const void *bytes, size_t size, off64_t place) {
    REAL("pwrite64", ssize_t (*)(int, const void *, size_t, off64_t));
    return write_at(fd, bytes, size, place, real);
}

ssize_t pwrite(int fd, const void *bytes, size_t size, off_t place) {
    REAL("pwrite64", ssize_t (*)(int, const void *, size_t, off64_t));
    return write_at(fd, bytes, size, place, real);
}

static int makes(int flags) { return (flags & O_CREAT) != 0; }

#define OPENS(name) \
    int name(const char *path, int flags, ...) { \
        REAL(#name, int (*)(const char *, int, ...)); \
        va_list more; \
        va_start(more, flags); \
        mode_t rights = va_arg(more, mode_t); \
        va_end(more); \
        STEP(makes(flags) && below(path) && access(path, F_OK) != 0, 0, real(path, flags, rights)); \
    }
OPENS(open)
OPENS(open64)

#define OPENS_AT(name) \
    int name(int at, const char *path, int flags, ...) { \
        REAL(#name, int (*)(int, const char *, int, ...)); \
        va_list more; \
        va_start(more, flags); \
        mode_t rights = va_arg(more, mode_t); \
        va_end(more); \
        STEP(makes(flags) && below(path) && access(path, F_OK) != 0, 0, \
             real(at, path, flags, rights)); \
    }
OPENS_AT(openat)
OPENS_AT(openat64)

int fsync(int fd) { REAL("fsync", int (*)(int)); STEP(held(fd), 0, real(fd)); }
int fdatasync(int fd) { REAL("fdatasync", int (*)(int)); STEP(held(fd), 0, real(fd)); }
int ftruncate(int fd, off_t size) {
    REAL("ftruncate", int (*)(int, off_t));
    STEP(held(fd), 1, real(fd, size));
}
int ftruncate64(int fd, off64_t size) {
    REAL("ftruncate64", int (*)(int, off64_t));
    STEP(held(fd), 1, real(fd, size));
}
int rename(const char *from, const char *to) {
    REAL("rename", int (*)(const char *, const char *));
    STEP(below(to), 0, real(from, to));
}
int renameat(int at, const char *from, int there, const char *to) {
    REAL("renameat", int (*)(int, const char *, int, const char *));
    STEP(below(to), 0, real(at, from, there, to));
}
int link(const char *from, const char *to) {
    REAL("link", int (*)(const char *, const char *));
    STEP(below(to), 0, real(from, to));
}
int linkat(int at, const char *from, int there, const char *to, int flags) {
    REAL("linkat", int (*)(int, const char *, int, const char *, int));
    STEP(below(to), 0, real(at, from, there, to, flags));
}
int symlink(const char *target, const char *place) {
    REAL("symlink", int (*)(const char *, const char *));
    STEP(below(place), 0, real(target, place));
}
int symlinkat(const char *target, int at, const char *place) {
    REAL("symlinkat", int (*)(const char *, int, const char *));
    STEP(below(place), 0, real(target, at, place));
}
int mkdir(const char *path, mode_t rights) {
    REAL("mkdir", int (*)(const char *, mode_t));
    STEP(below(path), 0, real(path, rights));
}
int unlink(const char *path) {
    REAL("unlink", int (*)(const char *));
    STEP(below(path), 1, real(path));
}
int unlinkat(int at, const char *path, int flags) {
    REAL("unlinkat", int (*)(int, const char *, int));
    STEP(at == AT_FDCWD ? below(path) : held(at), 1, real(at, path, flags));
}
int rmdir(const char *path) {
    REAL("rmdir", int (*)(const char *));
    STEP(below(path), 1, real(path));
}
