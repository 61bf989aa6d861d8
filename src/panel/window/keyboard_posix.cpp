#include <GLFW/glfw3.h>
#include <X11/Xlib.h>

#include <array>
#include <cstddef>

#include "panel/window/keyboard.h"

// The declaration of <GLFW/glfw3native.h>. That header would need the headers of Xrandr for its
// other functions.
extern "C" Display* glfwGetX11Display();  // NOLINT(readability-identifier-naming): theirs

namespace brink::panel {

bool is_key_held(GLFWwindow* window, int glfw_key) {
  if (glfwGetKey(window, glfw_key) != GLFW_PRESS) {
    return false;
  }
  std::array<char, 32> keys{};  // one bit for each of X's key codes
  XQueryKeymap(glfwGetX11Display(), keys.data());
  const auto code = static_cast<std::size_t>(glfwGetKeyScancode(glfw_key));
  return (static_cast<unsigned char>(keys[code / 8]) >> (code % 8) & 1U) != 0;
}

}  // namespace brink::panel
