#pragma once

#include <chrono>
#include <functional>
#include <future>
#include <optional>
#include <thread>
#include <utility>

namespace brink::base {

/// One piece of work at a time on a thread of its own, so that its owner never waits for it. All
/// functions: the owner's thread. The destructor waits for the work and drops its result.
template <typename Result>
class Background {
 public:
  /// `on_news` is called on the other thread when the result, or what the work threw, can be taken.
  /// While other work is under way this waits for it and drops its result.
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

  /// Waits for what is under way, whose result can be taken then.
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
