#include "io/unfinished_files.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <filesystem>
#include <thread>
#include <utility>

namespace brink::io {
namespace {

/// A list of clips has this many outputs at once at most; further ones are removed as well, but not
/// by a signal.
constexpr std::size_t kMostFiles = 4096;
constexpr int kMostTries = 10000;

// What a signal handler reads: plain addresses that it can take without a lock.
std::array<std::atomic<const char*>, kMostFiles> paths{};
std::atomic<bool> is_ending{false};
std::atomic<int> waits{0};
std::atomic<int> waiting_signal{0};

static_assert(std::atomic<const char*>::is_always_lock_free);
static_assert(std::atomic<bool>::is_always_lock_free && std::atomic<int>::is_always_lock_free);

int enlist(const char* path) noexcept {
  for (std::size_t slot = 0; slot < kMostFiles; ++slot) {
    const char* free = nullptr;
    if (paths[slot].compare_exchange_strong(free, path)) {
      return static_cast<int>(slot);
    }
  }
  return -1;
}

/// The path may be freed afterwards: a handler that has it already ends the program, and this
/// thread waits for that.
void strike_off(int slot) noexcept {
  if (slot < 0) {
    return;
  }
  paths[static_cast<std::size_t>(slot)].store(nullptr);
  while (is_ending.load()) {
    std::this_thread::yield();
  }
}

std::string name_beside(const std::string& place, int number) {
  const std::string name = fmt::format(".brink-{}-{}.part", getpid(), number);
  return (std::filesystem::absolute(place).parent_path() / name).string();
}

}  // namespace

UnfinishedFile::UnfinishedFile(const std::string& place) {
  static std::atomic<int> next{0};
  constexpr mode_t kForAll = 0666;  // less what the user's umask takes away
  for (int tried = 0; tried < kMostTries; ++tried) {
    path_ = name_beside(place, next.fetch_add(1));
    const SignalsWait wait;  // a signal finds it in the list, or not there at all
    descriptor_ = ::open(path_.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, kForAll);
    if (descriptor_ >= 0) {
      slot_ = enlist(path_.c_str());
      return;
    }
    if (errno != EEXIST) {
      return;
    }
  }
}

UnfinishedFile::~UnfinishedFile() {
  const bool was_made = slot_ >= 0 || descriptor_ >= 0;
  (void)close();
  if (was_made) {
    ::unlink(path_.c_str());  // not there any more when it took its place
  }
  strike_off(slot_);
}

bool UnfinishedFile::close() noexcept {
  const int descriptor = std::exchange(descriptor_, -1);
  return descriptor < 0 || ::close(descriptor) == 0;
}

SignalsWait::SignalsWait() noexcept {
  waits.fetch_add(1);
  while (is_ending.load()) {  // too late: the program ends, or the handler is about to step back
    waits.fetch_sub(1);
    std::this_thread::yield();
    waits.fetch_add(1);
  }
}

SignalsWait::~SignalsWait() {
  if (waits.fetch_sub(1) == 1) {
    if (const int number = waiting_signal.exchange(0); number != 0) {
      end_by_signal(number);
    }
  }
}

void end_by_signal(int number) noexcept {
  is_ending.store(true);
  if (waits.load() > 0) {
    waiting_signal.store(number);
    is_ending.store(false);
    return;
  }
  for (const std::atomic<const char*>& path : paths) {
    if (const char* const name = path.load(); name != nullptr) {
      ::unlink(name);
    }
  }

  struct sigaction usual {};

  usual.sa_handler = SIG_DFL;
  sigaction(number, &usual, nullptr);
  ::raise(number);  // in its own handler it comes at the return
}

}  // namespace brink::io
