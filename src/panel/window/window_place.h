#pragma once

#include <span>

namespace brink::panel {

/// The window's smallest and first size, at scale 1.
inline constexpr int kSmallestWidth = 960;
inline constexpr int kSmallestHeight = 600;
inline constexpr int kFirstWidth = 1280;
inline constexpr int kFirstHeight = 800;

/// In the screens' own units.
struct WindowPlace {
  bool is_known = false;  ///< else wherever and as large as suits the screen
  int x = 0;
  int y = 0;
  int width = kFirstWidth;
  int height = kFirstHeight;
  bool is_maximised = false;  ///< it takes its whole screen for now

  friend bool operator==(const WindowPlace&, const WindowPlace&) = default;
};

/// The part of a screen that windows may take.
struct ScreenArea {
  int x = 0;
  int y = 0;
  int width = 0;
  int height = 0;
};

/// The wanted place as it can be on these screens: wholly on the one that it has most of, no larger
/// than that, and never smaller than the smallest size, unless the screen is. An unknown place gets
/// the first size at that scale. Without any screen the place stays as it is.
[[nodiscard]] WindowPlace fitted(WindowPlace wanted,
                                 std::span<const ScreenArea> screens,
                                 float scale);

}  // namespace brink::panel
