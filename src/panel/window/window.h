#pragma once

#include <memory>
#include <string>

#include "panel/draw/theme.h"
#include "panel/window/input.h"
#include "panel/window/strip_texture.h"
#include "panel/window/window_place.h"

namespace brink::panel {

/// The only file that knows GLFW: a window, what the user does in it, and drawing with
/// Dear ImGui. One at a time; its thread alone, but for wake().
class Window {
 public:
  /// Not shown before show(). Throws base::Error when no window can be opened.
  Window();
  ~Window();
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;
  Window(Window&&) = delete;
  Window& operator=(Window&&) = delete;

  [[nodiscard]] bool is_closing() const noexcept;
  /// Some of it may be seen: neither an icon nor put away.
  [[nodiscard]] bool is_visible() const noexcept;

  /// At that place, as far as the monitors allow (fitted()), once, before the first pass. `scale`:
  /// as set_scale() takes it; 0: what the monitor asks for.
  void show(const WindowPlace& place, float scale);

  [[nodiscard]] const WindowPlace& place() const noexcept;
  [[nodiscard]] int width() const noexcept;
  [[nodiscard]] int height() const noexcept;

  /// Sleeps until the user does something, wake() is called or the time is over; then what the user
  /// did since the last pass ended.
  [[nodiscard]] const Input& wait(double longest_s);
  /// Ends the present or the next wait(). [any]
  static void wake() noexcept;

  [[nodiscard]] const Theme& theme() const noexcept;
  /// 1 to 3, as far as the window has room for it, now or when it grows.
  void set_scale(float scale);

  void begin_pass();
  /// Shows what was drawn; with a path also writes it as PNG. Throws base::Error when that cannot
  /// be written, after it was shown.
  void end_pass(const std::string& picture_path = {});

  [[nodiscard]] std::unique_ptr<StripTexture> make_strip();

 private:
  void follow_size();
  /// The largest scale that the window has room for.
  [[nodiscard]] float scale_room() const noexcept;

  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::panel
