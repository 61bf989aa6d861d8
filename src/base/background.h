#pragma once

#include <chrono>
#include <functional>
#include <future>
#include <optional>
#include <thread>
#include <utility>

namespace brink::base {

/// Runs one piece of work at a time on its own thread, so that the owner never waits for it. Call
/// every function from the owner's thread. The destructor waits for the work and drops its result.
template <typename Result>
class Background {
 public:
  /// Starts `work`. `on_news` is called on the other thread when take() can give the result, or
  /// throw what the work threw. If other work is still running, this waits for it and drops its
  /// result.
  template <typename Work>
  void start(Work work, std::function<void()> on_news) {
    std::packaged_task<Result()> task(std::move(work));
    result_ = task.get_future();
    thread_ = std::jthread([task = std::move(task), on_news = std::move(on_news)]() mutable {
      task();
      if (on_news) {
        on_news();
      }
    });
  }

  /// True from start() until take() has given the result.
  [[nodiscard]] bool is_busy() const noexcept { return result_.valid(); }

  /// The result, once it is ready. Nothing before, and nothing after it was taken. Throws what the
  /// work threw.
  [[nodiscard]] std::optional<Result> take() {
    if (!result_.valid() ||
        result_.wait_for(std::chrono::seconds(0)) != std::future_status::ready) {
      return std::nullopt;
    }
    return result_.get();
  }

  /// Waits until the running work has ended. Then its result can be taken.
  void wait() const {
    if (result_.valid()) {
      result_.wait();
    }
  }

 private:
  std::future<Result> result_;
  std::jthread thread_;
};

}  // namespace brink::base
