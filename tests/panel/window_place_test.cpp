#include "panel/window/window_place.h"

#include <doctest/doctest.h>

#include <array>
#include <climits>
#include <span>

using namespace brink::panel;

namespace {

constexpr std::array<ScreenArea, 2> kTwo{{{0, 0, 1920, 1080}, {1920, 0, 2560, 1440}}};
const std::span<const ScreenArea> kOne = std::span(kTwo).first(1);

WindowPlace at(int x, int y, int width, int height) {
  return {true, x, y, width, height, false};
}

}  // namespace

TEST_CASE("a place that the screens show stays as it was") {
  for (const WindowPlace& place : {at(0, 0, 1920, 1080),
                                   at(100, 50, 1100, 700),
                                   at(1920, 0, 2560, 1440),
                                   at(3000, 300, 960, 600)}) {
    CHECK(fitted(place, kTwo, 1.0F) == place);
  }
}

TEST_CASE("a window lies wholly on the screen that it has most of, wherever it was") {
  for (const WindowPlace& place : {at(50000, -9000, 1100, 700),
                                   at(INT_MAX, INT_MIN, 16384, 16384),
                                   at(-1000, 900, 1280, 800),
                                   at(1800, 1000, 1280, 800)}) {
    const WindowPlace shown = fitted(place, kOne, 1.0F);
    CHECK(shown.x >= 0);
    CHECK(shown.y >= 0);
    CHECK(shown.x + shown.width <= 1920);
    CHECK(shown.y + shown.height <= 1080);
    CHECK(shown.width >= kSmallestWidth);
    CHECK(shown.height >= kSmallestHeight);
  }
  // 700 of its 1000 pixels lie on the right one.
  CHECK(fitted(at(1620, 100, 1000, 700), kTwo, 1.0F) == at(1920, 100, 1000, 700));
  // A screen that is gone: the primary one.
  CHECK(fitted(at(2500, 100, 1000, 700), kOne, 1.0F) == at(920, 100, 1000, 700));
}

TEST_CASE("never smaller than the smallest size, unless the screen is") {
  CHECK(fitted(at(10, 10, 320, 320), kOne, 1.0F) == at(10, 10, kSmallestWidth, kSmallestHeight));
  const std::array<ScreenArea, 1> tiny{{{0, 24, 800, 456}}};
  CHECK(fitted(at(10, 10, 320, 320), tiny, 1.0F) == at(0, 24, 800, 456));
}

TEST_CASE("a remembered small window grows with the letters, as far as there is room") {
  CHECK(fitted(at(10, 10, 960, 600), kOne, 1.5F) == at(10, 10, 1440, 900));
  CHECK(room_for_scale(fitted(at(10, 10, 960, 600), kOne, 1.5F)) == 1.5F);
  CHECK(fitted(at(10, 10, 960, 600), kOne, 3.0F) == at(0, 0, 1920, 1080));
  CHECK(room_for_scale(fitted(at(10, 10, 960, 600), kOne, 3.0F)) == 1.8F);  // 1080 of 600
}

TEST_CASE(
    "an unknown place has the first size at the scale of the letters, as far as there is room") {
  CHECK(fitted({}, kOne, 1.0F).width == kFirstWidth);
  CHECK(fitted({}, std::span(kTwo).last(1), 1.5F).width == 1920);
  CHECK(fitted({}, std::span(kTwo).last(1), 1.5F).height == 1200);
  CHECK(fitted({}, kOne, 3.0F).width == 1920);
  CHECK(fitted({}, kOne, 3.0F).height == 1080);
  CHECK(fitted(at(5, 6, 7, 8), {}, 1.0F) == at(5, 6, 7, 8));
}
