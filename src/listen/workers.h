#pragma once

#include <atomic>
#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace brink::listen {

/// Threads that do pieces of one work side by side, again and again. The caller's thread is one of
/// them.
class Workers {
 public:
  /// `count`: threads with the caller's; at least 1. With 1 none is started.
  explicit Workers(int count);
  ~Workers();
  Workers(const Workers&) = delete;
  Workers& operator=(const Workers&) = delete;
  Workers(Workers&&) = delete;
  Workers& operator=(Workers&&) = delete;

  /// Calls `piece` with each number from 0 to `pieces` - 1 once, in no order, and returns when all
  /// are done. What a piece throws is thrown again then; of several, one.
  void run(std::size_t pieces, const std::function<void(std::size_t)>& piece);

 private:
  void serve();
  void take_pieces();
  void meet();

  // All threads meet at the beginning and at the end of each run. Not a std::barrier: GCC 12's
  // loses a wake-up on Windows, and everybody waits for ever.
  int count_;
  int arrived_ = 0;
  std::uint64_t meetings_ = 0;
  std::mutex mutex_;
  std::condition_variable met_;
  std::atomic<std::size_t> next_{0};
  std::size_t pieces_ = 0;
  const std::function<void(std::size_t)>* piece_ = nullptr;  // none: it is over
  std::exception_ptr thrown_;                                // by a piece of this run
  std::vector<std::jthread> threads_;                        // last: the others outlive it
};

}  // namespace brink::listen
