#pragma once

#include <functional>
#include <future>
#include <utility>

namespace brink::app {

/// Runs `work` on a thread of its own; whoever waits for the result is woken, come what may.
template <typename Work>
auto run_aside(const std::function<void()>& on_news, Work work) {
  return std::async(std::launch::async, [on_news, work = std::move(work)]() mutable {
    struct AtEnd {
      const std::function<void()>& call;

      ~AtEnd() { call(); }
    } const at_end{on_news};

    return work();
  });
}

}  // namespace brink::app
