#include "io/unfinished_files.h"

#include <fmt/format.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <random>
#include <thread>
#include <utility>

#include "io/paths.h"
#include "io/process.h"

namespace brink::io {
namespace {

/// A list of clips has this many outputs at once at most; further ones are removed as well, but not
/// by a signal.
constexpr std::size_t kMostFiles = 4096;
constexpr int kMostTries = 100;

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

/// By chance, and not from the number of the process: machines that share a folder have processes
/// of the same number, and one of them would remove the other's file.
std::string name_beside(const std::string& place) {
  std::random_device chance;
  const std::string name = fmt::format(".brink-{:08x}{:08x}.part", chance(), chance());
  return (std::filesystem::absolute(to_path(place)).parent_path() / name).string();
}

}  // namespace

UnfinishedFile::UnfinishedFile(const std::string& place) {
  for (int tried = 0; tried < kMostTries; ++tried) {
    path_ = name_beside(place);
    const SignalsWait wait;  // a signal finds it in the list, or not there at all
    file_ = OpenFile(create_file(path_, Readers::kAll));
    if (file_.is_open()) {
      slot_ = enlist(path_.c_str());
      return;
    }
    if (errno != EEXIST) {
      return;
    }
  }
}

UnfinishedFile::~UnfinishedFile() {
  const bool was_made = slot_ >= 0 || file_.is_open();
  (void)file_.close();
  if (was_made) {
    remove_file(path_.c_str());  // not there any more when it took its place
  }
  strike_off(slot_);
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
      remove_file(name);
    }
  }
  end_process(number);
}

}  // namespace brink::io
