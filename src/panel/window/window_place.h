#pragma once

#include <span>

namespace brink::panel {

/// The smallest size of the window and its first size, in units of scale 1.
inline constexpr int kSmallestWidth = 960;
inline constexpr int kSmallestHeight = 600;
inline constexpr int kFirstWidth = 1280;
inline constexpr int kFirstHeight = 800;

/// Place and size of the window, in the screens' own units.
struct WindowPlace {
  bool is_known = false;  ///< if false: place and size are free to suit the screen
  int x = 0;
  int y = 0;
  int width = kFirstWidth;
  int height = kFirstHeight;
  bool is_maximised = false;  ///< it fills its screen at present

  friend bool operator==(const WindowPlace&, const WindowPlace&) = default;
};

/// The part of a screen that windows may use.
struct ScreenArea {
  int x = 0;
  int y = 0;
  int width = 0;
  int height = 0;
};

/// The wanted place, changed to fit these screens. The window is wholly on the screen that has most
/// of it, and not larger than that screen. It is never smaller than the smallest size at that
/// scale, unless the screen is. An unknown place gets the first size at that scale. Without any
/// screen the place stays as it is.
[[nodiscard]] WindowPlace fitted(WindowPlace wanted,
                                 std::span<const ScreenArea> screens,
                                 float scale);

/// The largest scale of the letters at which a window of that size shows everything.
[[nodiscard]] float room_for_scale(const WindowPlace& place) noexcept;

}  // namespace brink::panel
