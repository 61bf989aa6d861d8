#pragma once

namespace brink::panel {

/// A part of the window, in pixels. take_*() cuts off a piece and leaves the rest.
struct Rect {
  float left = 0.0F;
  float top = 0.0F;
  float right = 0.0F;
  float bottom = 0.0F;

  [[nodiscard]] float width() const noexcept { return right - left; }

  [[nodiscard]] float height() const noexcept { return bottom - top; }

  [[nodiscard]] float middle_x() const noexcept { return 0.5F * (left + right); }

  [[nodiscard]] float middle_y() const noexcept { return 0.5F * (top + bottom); }

  [[nodiscard]] bool holds(float x, float y) const noexcept {
    return x >= left && x < right && y >= top && y < bottom;
  }

  [[nodiscard]] Rect inset(float by) const noexcept {
    return {left + by, top + by, right - by, bottom - by};
  }

  Rect take_left(float width) noexcept {
    const Rect piece{left, top, left + width, bottom};
    left += width;
    return piece;
  }

  Rect take_right(float width) noexcept {
    const Rect piece{right - width, top, right, bottom};
    right -= width;
    return piece;
  }

  Rect take_top(float height) noexcept {
    const Rect piece{left, top, right, top + height};
    top += height;
    return piece;
  }

  Rect take_bottom(float height) noexcept {
    const Rect piece{left, bottom - height, right, bottom};
    bottom -= height;
    return piece;
  }
};

}  // namespace brink::panel
