#pragma once

#include <memory>
#include <string>

#include "panel/input.h"
#include "panel/strip_texture.h"
#include "panel/theme.h"

namespace brink::panel {

struct WindowPlace {
  int x = -1;  ///< below 0: wherever the system puts it
  int y = -1;
  int width = 1280;
  int height = 800;
};

/// The only file that knows GLFW and OpenGL: a window, what the user does in it, and drawing with
/// Dear ImGui. One at a time; its thread alone, but for wake().
class Window {
 public:
  /// `scale` 0: what the monitor asks for. A place that no monitor shows any more is not taken.
  /// Throws core::Error when no window can be opened.
  Window(const WindowPlace& place, float scale);
  ~Window();
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;
  Window(Window&&) = delete;
  Window& operator=(Window&&) = delete;

  [[nodiscard]] bool is_closing() const noexcept;
  [[nodiscard]] WindowPlace place() const noexcept;

  /// Sleeps until the user does something, wake() is called or the time is over; then what the user
  /// did.
  [[nodiscard]] const Input& wait(double longest_s);
  /// Ends the present or the next wait(). [any]
  static void wake() noexcept;

  [[nodiscard]] const Theme& theme() const noexcept;
  /// 1 to 3, as far as the window has room for it.
  void set_scale(float scale);

  void begin_pass();
  /// Shows what was drawn; with a path also writes it as PNG. Throws core::Error when that cannot
  /// be written, after it was shown.
  void end_pass(const std::string& picture_path = {});

  [[nodiscard]] std::unique_ptr<StripTexture> make_strip();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::panel
