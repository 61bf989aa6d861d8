#pragma once

#include <memory>
#include <string>

#include "panel/draw/theme.h"
#include "panel/window/input.h"
#include "panel/window/strip_texture.h"
#include "panel/window/window_place.h"

namespace brink::panel {

/// A window, what the user does in it, and drawing with Dear ImGui. Only this class uses GLFW. One
/// window at a time. Only its own thread may call it, except wake().
class Window {
 public:
  /// The window is hidden until show(). Throws base::Error when no window can be opened.
  Window();
  ~Window();
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;
  Window(Window&&) = delete;
  Window& operator=(Window&&) = delete;

  /// Whether the user has closed the window.
  [[nodiscard]] bool is_closing() const noexcept;
  /// False when it is hidden or an icon, so that nothing of it can be seen.
  [[nodiscard]] bool is_visible() const noexcept;

  /// Shows the window at that place, as far as the monitors allow (fitted()). Call it once, before
  /// the first pass. `scale`: as for set_scale(); 0: the scale that the monitor asks for.
  void show(const WindowPlace& place, float scale);

  [[nodiscard]] const WindowPlace& place() const noexcept;
  [[nodiscard]] int width() const noexcept;
  [[nodiscard]] int height() const noexcept;

  /// Sleeps until the user does something, wake() is called or the time is over. Gives what the
  /// user did since the end of the last pass.
  [[nodiscard]] const Input& wait(double longest_s);
  /// Ends the present or the next wait(). [any]
  static void wake() noexcept;

  [[nodiscard]] const Theme& theme() const noexcept;
  /// Interface scale, 1 to 3. If the window has no room for it now, the scale rises when the window
  /// grows.
  void set_scale(float scale);

  /// Begins a pass. Draw after it, then call end_pass().
  void begin_pass();
  /// Shows what was drawn. With a path it also writes it as PNG. Throws base::Error when the PNG
  /// cannot be written; the drawing is shown in any case.
  void end_pass(const std::string& picture_path = {});

  /// A new strip in this window. It must be destroyed before the window.
  [[nodiscard]] std::unique_ptr<StripTexture> make_strip();

 private:
  void follow_size();
  /// The largest scale that the window has room for.
  [[nodiscard]] float scale_room() const noexcept;

  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::panel
