#pragma once

#include <functional>
#include <future>
#include <utility>

namespace brink::base {

/// Calls when it goes, come what may.
class CallAtEnd {
 public:
  explicit CallAtEnd(const std::function<void()>& call) : call_(call) {}

  ~CallAtEnd() { call_(); }

  CallAtEnd(const CallAtEnd&) = delete;
  CallAtEnd& operator=(const CallAtEnd&) = delete;
  CallAtEnd(CallAtEnd&&) = delete;
  CallAtEnd& operator=(CallAtEnd&&) = delete;

 private:
  const std::function<void()>& call_;
};

/// Runs `work` on a thread of its own; whoever waits for the result is woken by `on_news` there.
template <typename Work>
auto run_aside(const std::function<void()>& on_news, Work work) {
  return std::async(std::launch::async, [on_news, work = std::move(work)]() mutable {
    const CallAtEnd at_end(on_news);
    return work();
  });
}

}  // namespace brink::base
