#include <io.h>
#include <windows.h>

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <thread>
#include <vector>

#include "io/waiting.h"

namespace brink::io {

/// Files, pipes and consoles have no wait in common that can end early. So a thread waits for each
/// read. It is left alone at the end, since nothing ends its wait but what it waits for.
struct WaitedInput::State {
  static constexpr std::size_t kMostWaiting = std::size_t{1} << 18U;

  struct Shared {
    HANDLE file = nullptr;
    std::mutex mutex;
    std::condition_variable news;
    std::vector<char> waiting;
    bool is_at_end = false;
    bool is_wanted = true;
  };

  std::shared_ptr<Shared> shared = std::make_shared<Shared>();
  bool is_started = false;

  void start() {
    is_started = true;
    std::thread(read_all, shared).detach();
  }

  static void read_all(const std::shared_ptr<Shared>& shared) {
    std::vector<char> bytes(std::size_t{1} << 16U);
    for (;;) {
      DWORD count = 0;
      SetLastError(NO_ERROR);
      const BOOL has_read =
          ReadFile(shared->file, bytes.data(), static_cast<DWORD>(bytes.size()), &count, nullptr);
      if (has_read != 0 && count == 0 && GetLastError() == ERROR_OPERATION_ABORTED) {
        continue;  // Ctrl-C at a console
      }
      std::unique_lock lock(shared->mutex);
      shared->waiting.insert(shared->waiting.end(), bytes.begin(), bytes.begin() + count);
      shared->is_at_end = has_read == 0 || count == 0;
      shared->news.notify_all();
      shared->news.wait(
          lock, [&] { return !shared->is_wanted || shared->waiting.size() < kMostWaiting; });
      if (shared->is_at_end || !shared->is_wanted) {
        return;
      }
    }
  }
};

WaitedInput::WaitedInput(int file) : state_(std::make_unique<State>()) {
  state_->shared->file = reinterpret_cast<HANDLE>(_get_osfhandle(file));
}

WaitedInput::~WaitedInput() {
  const std::lock_guard lock(state_->shared->mutex);
  state_->shared->is_wanted = false;
  state_->shared->news.notify_all();
}

WaitedInput::Outcome WaitedInput::read(void* bytes,
                                       std::size_t most,
                                       int patience_ms,
                                       std::size_t& count) {
  if (!state_->is_started) {
    state_->start();
  }
  State::Shared& shared = *state_->shared;
  std::unique_lock lock(shared.mutex);
  shared.news.wait_for(lock, std::chrono::milliseconds(patience_ms), [&] {
    return shared.is_at_end || !shared.waiting.empty();
  });
  count = std::min(most, shared.waiting.size());
  std::copy_n(shared.waiting.begin(), count, static_cast<char*>(bytes));
  shared.waiting.erase(shared.waiting.begin(),
                       shared.waiting.begin() + static_cast<std::ptrdiff_t>(count));
  shared.news.notify_all();
  if (count > 0) {
    return Outcome::kBytes;
  }
  return shared.is_at_end ? Outcome::kEnd : Outcome::kNothingYet;
}

bool has_reader(int /*file*/) noexcept {
  return true;  // only a write tells
}

}  // namespace brink::io
