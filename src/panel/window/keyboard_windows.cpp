#include <GLFW/glfw3.h>
#include <windows.h>

#include "panel/window/keyboard.h"

namespace brink::panel {
namespace {

int windows_key(int glfw_key) {
  const auto scancode = static_cast<UINT>(glfwGetKeyScancode(glfw_key));
  // GLFW adds 0x100 where the keyboard sends a byte of 0xE0 first, as for the arrows.
  const UINT system_code = (scancode & 0x100U) == 0 ? scancode : 0xE000U | (scancode & 0xFFU);
  return static_cast<int>(MapVirtualKeyW(system_code, MAPVK_VSC_TO_VK_EX));
}

}  // namespace

bool is_key_held(GLFWwindow* window, int glfw_key) {
  return glfwGetKey(window, glfw_key) == GLFW_PRESS && GetAsyncKeyState(windows_key(glfw_key)) < 0;
}

std::function<bool()> key_probe(int glfw_key) {
  return [key = windows_key(glfw_key)] { return GetAsyncKeyState(key) < 0; };
}

}  // namespace brink::panel
