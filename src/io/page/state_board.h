#pragma once

#include <condition_variable>
#include <cstdint>
#include <memory>
#include <mutex>
#include <string>
#include <utility>

namespace brink::io {

/// The newest state, and whoever waits for the next.
class StateBoard {
 public:
  /// Never waits: while somebody takes the last state this one is dropped.
  void show(std::string state) {
    {
      const std::unique_lock lock(mutex_, std::try_to_lock);
      if (!lock) {
        return;
      }
      state_ = std::make_shared<const std::string>(std::move(state));
      ++serial_;
    }
    news_.notify_all();
  }

  [[nodiscard]] std::uint64_t serial() {
    const std::lock_guard lock(mutex_);
    return serial_;
  }

  /// The state after that of `serial`, which becomes its own; nullptr: it is over.
  [[nodiscard]] std::shared_ptr<const std::string> wait(std::uint64_t& serial) {
    std::unique_lock lock(mutex_);
    news_.wait(lock, [&] { return is_over_ || serial_ != serial; });
    serial = serial_;
    return is_over_ ? nullptr : state_;
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
  std::shared_ptr<const std::string> state_;
  std::uint64_t serial_ = 0;
  bool is_over_ = false;
};

}  // namespace brink::io
