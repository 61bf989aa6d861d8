#include "panel/window/key_hold.h"

#include <chrono>
#include <utility>

namespace brink::panel {

KeyHold::KeyHold(std::function<bool()> is_down)
    : is_down_(std::move(is_down)), thread_([this] { look(); }) {}

KeyHold::~KeyHold() {
  {
    const std::scoped_lock lock(mutex_);
    is_over_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

void KeyHold::at_release(std::function<void()> silence) {
  {
    const std::scoped_lock lock(mutex_);
    silences_.push_back(std::move(silence));
  }
  changed_.notify_all();
}

bool KeyHold::take_release() {
  const std::scoped_lock lock(mutex_);
  return std::exchange(was_released_, false);
}

void KeyHold::look() {
  constexpr std::chrono::milliseconds kBetweenLooks(1);
  std::unique_lock lock(mutex_);
  while (true) {
    changed_.wait(lock, [this] { return is_over_ || !silences_.empty(); });
    if (is_over_) {
      return;
    }
    if (is_down_()) {
      changed_.wait_for(lock, kBetweenLooks);
      continue;
    }
    was_released_ = true;
    const std::vector<std::function<void()>> silences = std::exchange(silences_, {});
    lock.unlock();
    for (const std::function<void()>& silence : silences) {
      silence();
    }
    lock.lock();
  }
}

}  // namespace brink::panel
