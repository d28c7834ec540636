// Preloaded into the program: at its n-th call that changes a file it is killed, or the disk is
// full from then on. kill-worker kills only processes that were forked from it.
//
//   LD_PRELOAD=libio_fault.so IO_FAULT=kill|kill-worker|full IO_FAULT_AT=n plumbstack ...
//
// Nothing that goes to stdout or stderr counts.
#include <dlfcn.h>
#include <signal.h>
#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <cstdlib>
#include <cstring>

namespace {

template <typename Call>
Call real(const char* name) {
  return reinterpret_cast<Call>(dlsym(RTLD_NEXT, name));
}

const pid_t started = getpid();

// True where this call must fail for want of space.
bool strikes() {
  static std::atomic<int> calls{0};
  static const char* fault = std::getenv("IO_FAULT");
  static const char* at = std::getenv("IO_FAULT_AT");
  const int call = ++calls;
  if (!fault || !at || call < std::atoi(at)) return false;
  const bool worker = std::strcmp(fault, "kill-worker") == 0;
  if (worker && getpid() == started) return false;
  if (worker || std::strcmp(fault, "kill") == 0) raise(SIGKILL);
  return true;
}

int no_space() {
  errno = ENOSPC;
  return -1;
}

}  // namespace

extern "C" {

ssize_t write(int file, const void* bytes, std::size_t size) {
  static const auto call = real<ssize_t (*)(int, const void*, std::size_t)>("write");
  if (file > 2 && strikes()) return no_space();
  return call(file, bytes, size);
}

ssize_t pwrite(int file, const void* bytes, std::size_t size, off_t at) {
  static const auto call = real<ssize_t (*)(int, const void*, std::size_t, off_t)>("pwrite");
  if (strikes()) return no_space();
  return call(file, bytes, size, at);
}

ssize_t pwrite64(int file, const void* bytes, std::size_t size, off64_t at) {
  static const auto call = real<ssize_t (*)(int, const void*, std::size_t, off64_t)>("pwrite64");
  if (strikes()) return no_space();
  return call(file, bytes, size, at);
}

int ftruncate(int file, off_t size) {
  static const auto call = real<int (*)(int, off_t)>("ftruncate");
  if (strikes()) return no_space();
  return call(file, size);
}

int ftruncate64(int file, off64_t size) {
  static const auto call = real<int (*)(int, off64_t)>("ftruncate64");
  if (strikes()) return no_space();
  return call(file, size);
}

int mkdir(const char* name, mode_t mode) {
  static const auto call = real<int (*)(const char*, mode_t)>("mkdir");
  if (strikes()) return no_space();
  return call(name, mode);
}

int rename(const char* from, const char* to) {
  static const auto call = real<int (*)(const char*, const char*)>("rename");
  if (strikes()) return no_space();
  return call(from, to);
}

int fsync(int file) {
  static const auto call = real<int (*)(int)>("fsync");
  if (strikes()) return no_space();
  return call(file);
}

int fdatasync(int file) {
  static const auto call = real<int (*)(int)>("fdatasync");
  if (strikes()) return no_space();
  return call(file);
}

}  // extern "C"
