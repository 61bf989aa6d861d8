#include "panel/window/key_hold.h"

#include <doctest/doctest.h>

#include <array>
#include <atomic>
#include <future>

using namespace brink::panel;

TEST_CASE("a released key makes silence while the window's thread does something else") {
  std::atomic<bool> is_down{true};
  std::promise<void> looked;
  std::atomic<bool> has_looked{false};
  std::promise<bool> silent;
  KeyHold hold([&] {
    if (!has_looked.exchange(true)) {
      looked.set_value();
    }
    return is_down.load();
  });
  hold.at_release([&] { silent.set_value(is_down); });
  looked.get_future().wait();
  CHECK_FALSE(hold.take_release());
  is_down = false;
  CHECK_FALSE(silent.get_future().get());  // it was called when the key was up
  CHECK(hold.take_release());
  CHECK_FALSE(hold.take_release());
}

TEST_CASE("a key that is up already silences what has just begun, and each sound once") {
  std::array<std::promise<void>, 3>
      sounds;  // a second call would throw on a thread, and end the test
  KeyHold hold([] { return false; });
  for (std::promise<void>& silent : sounds) {
    hold.at_release([&silent] { silent.set_value(); });
    silent.get_future().wait();
  }
  CHECK(hold.take_release());
}

TEST_CASE("a window that closes while the key is held calls nothing") {
  std::atomic<int> calls{0};
  {
    KeyHold hold([] { return true; });
    hold.at_release([&] { ++calls; });
  }
  CHECK(calls == 0);
}
