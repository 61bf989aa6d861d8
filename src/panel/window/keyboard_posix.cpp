#include <GLFW/glfw3.h>
#include <X11/Xlib.h>

#include <array>
#include <cstddef>
#include <memory>
#include <utility>

#include "panel/window/keyboard.h"

// The declaration of <GLFW/glfw3native.h>. That header would need the headers of Xrandr for its
// other functions.
extern "C" Display* glfwGetX11Display();  // NOLINT(readability-identifier-naming): theirs

namespace brink::panel {
namespace {

bool is_down(Display* display, std::size_t code) {
  std::array<char, 32> keys{};  // one bit for each of X's key codes
  XQueryKeymap(display, keys.data());
  return (static_cast<unsigned char>(keys[code / 8]) >> (code % 8) & 1U) != 0;
}

std::size_t x_code(int glfw_key) {
  return static_cast<std::size_t>(glfwGetKeyScancode(glfw_key));
}

}  // namespace

bool is_key_held(GLFWwindow* window, int glfw_key) {
  return glfwGetKey(window, glfw_key) == GLFW_PRESS &&
         is_down(glfwGetX11Display(), x_code(glfw_key));
}

std::function<bool()> key_probe(int glfw_key) {
  // A connection of its own: GLFW's belongs to the main thread.
  std::shared_ptr<Display> display(XOpenDisplay(DisplayString(glfwGetX11Display())),
                                   [](Display* open) {
                                     if (open != nullptr) {
                                       XCloseDisplay(open);
                                     }
                                   });
  if (!display) {
    return {};
  }
  return [display = std::move(display), code = x_code(glfw_key)] {
    return is_down(display.get(), code);
  };
}

}  // namespace brink::panel
