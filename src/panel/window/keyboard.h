#pragma once

#include <functional>

struct GLFWwindow;

namespace brink::panel {

/// Whether a key of GLFW's is held down now, by what the system says: another program may take all
/// keys, as a window manager does while it shows its list of windows, and GLFW alone then does not
/// see that a key is released. [main thread]
[[nodiscard]] bool is_key_held(GLFWwindow* window, int glfw_key);

/// Says whether a key is held down, by what the system says alone. What is given may be called on
/// another thread, one at a time. Empty where the system cannot be asked. [main thread]
[[nodiscard]] std::function<bool()> key_probe(int glfw_key);

}  // namespace brink::panel
