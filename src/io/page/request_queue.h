#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <mutex>
#include <optional>
#include <utility>

#include "io/page/request_door.h"

namespace brink::io {

/// Whole requests that wait for a thread.
class RequestQueue {
 public:
  static constexpr std::size_t kMostWaiting = 32;

  /// One that does not fit is closed.
  void put(WholeRequest request) {
    {
      const std::lock_guard lock(mutex_);
      if (waiting_.size() >= kMostWaiting) {
        return;
      }
      waiting_.push_back(std::move(request));
    }
    news_.notify_one();
  }

  /// Nothing: it is over.
  [[nodiscard]] std::optional<WholeRequest> take() {
    std::unique_lock lock(mutex_);
    news_.wait(lock, [this] { return is_over_ || !waiting_.empty(); });
    if (is_over_) {
      return std::nullopt;
    }
    WholeRequest request = std::move(waiting_.front());
    waiting_.pop_front();
    return request;
  }

  void end() {
    {
      const std::lock_guard lock(mutex_);
      is_over_ = true;
    }
    news_.notify_all();
  }

 private:
  std::mutex mutex_;
  std::condition_variable news_;
  std::deque<WholeRequest> waiting_;
  bool is_over_ = false;
};

}  // namespace brink::io
