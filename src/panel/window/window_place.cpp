#include "panel/window/window_place.h"

#include <algorithm>
#include <cstdint>

namespace brink::panel {
namespace {

/// In 64 bits, because a settings file may hold any number.
std::int64_t shared_length(std::int64_t a, std::int64_t a_length, int b, int b_length) {
  return std::max<std::int64_t>(
      std::min(a + a_length, std::int64_t{b} + b_length) - std::max<std::int64_t>(a, b), 0);
}

std::int64_t shared_area(const WindowPlace& place, const ScreenArea& screen) {
  return shared_length(place.x, place.width, screen.x, screen.width) *
         shared_length(place.y, place.height, screen.y, screen.height);
}

}  // namespace

float room_for_scale(const WindowPlace& place) noexcept {
  return std::min(static_cast<float>(place.width) / static_cast<float>(kSmallestWidth),
                  static_cast<float>(place.height) / static_cast<float>(kSmallestHeight));
}

WindowPlace fitted(WindowPlace wanted, std::span<const ScreenArea> screens, float scale) {
  if (!wanted.is_known) {
    wanted.width = static_cast<int>(static_cast<float>(kFirstWidth) * scale);
    wanted.height = static_cast<int>(static_cast<float>(kFirstHeight) * scale);
  }
  if (screens.empty()) {
    return wanted;
  }
  // If no screen shows any of it, the first screen counts, which is the primary one.
  const ScreenArea& screen = *std::max_element(
      screens.begin(), screens.end(), [&wanted](const ScreenArea& a, const ScreenArea& b) {
        return shared_area(wanted, a) < shared_area(wanted, b);
      });
  const auto least = [scale](int length) {
    return static_cast<int>(static_cast<float>(length) * std::max(scale, 1.0F));
  };
  wanted.width = std::min(std::max(wanted.width, least(kSmallestWidth)), screen.width);
  wanted.height = std::min(std::max(wanted.height, least(kSmallestHeight)), screen.height);
  wanted.x = std::clamp(wanted.x, screen.x, screen.x + screen.width - wanted.width);
  wanted.y = std::clamp(wanted.y, screen.y, screen.y + screen.height - wanted.height);
  return wanted;
}

}  // namespace brink::panel
