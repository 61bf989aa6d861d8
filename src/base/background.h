#pragma once

#include <chrono>
#include <functional>
#include <future>
#include <optional>
#include <thread>
#include <utility>

namespace brink::base {

/// One piece of work at a time on a thread of its own, so that the window never waits for it. All
/// functions: the window's thread.
template <typename Result>
class Background {
 public:
  /// Only when nothing is under way. `on_news` is called when the result is there.
  template <typename Work>
  void start(Work work, std::function<void()> on_news) {
    std::packaged_task<Result()> task(std::move(work));
    result_ = task.get_future();
    thread_ = std::jthread([task = std::move(task), on_news = std::move(on_news)]() mutable {
      task();
      on_news();
    });
  }

  /// Until the result was taken.
  [[nodiscard]] bool is_busy() const noexcept { return result_.valid(); }

  /// The result, once, as soon as it is there; throws what the work threw.
  [[nodiscard]] std::optional<Result> take() {
    if (!result_.valid() ||
        result_.wait_for(std::chrono::seconds(0)) != std::future_status::ready) {
      return std::nullopt;
    }
    return result_.get();
  }

 private:
  std::future<Result> result_;
  std::jthread thread_;
};

}  // namespace brink::base
