#include <GLFW/glfw3.h>
#include <windows.h>

#include "panel/window/keyboard.h"

namespace brink::panel {

bool is_key_held(GLFWwindow* window, int glfw_key) {
  const auto scancode = static_cast<UINT>(glfwGetKeyScancode(glfw_key));
  // GLFW adds 0x100 where the keyboard sends a byte of 0xE0 first, as for the arrows.
  const UINT system_code = (scancode & 0x100U) == 0 ? scancode : 0xE000U | (scancode & 0xFFU);
  const auto key = static_cast<int>(MapVirtualKeyW(system_code, MAPVK_VSC_TO_VK_EX));
  return glfwGetKey(window, glfw_key) == GLFW_PRESS && GetAsyncKeyState(key) < 0;
}

}  // namespace brink::panel
