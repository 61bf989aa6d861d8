#include <GLFW/glfw3.h>
#include <windows.h>

#include "panel/window/keyboard.h"

namespace brink::panel {

bool is_key_held(GLFWwindow* window, int glfw_key) {
  const auto scancode = static_cast<UINT>(glfwGetKeyScancode(glfw_key));
  const auto key = static_cast<int>(MapVirtualKeyW(scancode, MAPVK_VSC_TO_VK_EX));
  return glfwGetKey(window, glfw_key) == GLFW_PRESS && GetAsyncKeyState(key) < 0;
}

}  // namespace brink::panel
