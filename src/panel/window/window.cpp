#include "panel/window/window.h"

#include <GLFW/glfw3.h>
#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "base/error.h"
#include "panel/window/gl_strip.h"
#include "panel/window/key_hold.h"
#include "panel/window/keyboard.h"
#include "panel/window/picture_file.h"

namespace brink::panel {
namespace {

constexpr std::array<std::pair<int, Key>, 18> kKeys{{{GLFW_KEY_UP, Key::kUp},
                                                     {GLFW_KEY_DOWN, Key::kDown},
                                                     {GLFW_KEY_LEFT, Key::kLeft},
                                                     {GLFW_KEY_RIGHT, Key::kRight},
                                                     {GLFW_KEY_ENTER, Key::kEnter},
                                                     {GLFW_KEY_KP_ENTER, Key::kEnter},
                                                     {GLFW_KEY_ESCAPE, Key::kEscape},
                                                     {GLFW_KEY_TAB, Key::kTab},
                                                     {GLFW_KEY_BACKSPACE, Key::kBackspace},
                                                     {GLFW_KEY_DELETE, Key::kDelete},
                                                     {GLFW_KEY_PAGE_UP, Key::kPageUp},
                                                     {GLFW_KEY_PAGE_DOWN, Key::kPageDown},
                                                     {GLFW_KEY_HOME, Key::kHome},
                                                     {GLFW_KEY_END, Key::kEnd},
                                                     {GLFW_KEY_F11, Key::kF11},
                                                     {GLFW_KEY_F12, Key::kF12},
                                                     {GLFW_KEY_KP_ADD, Key::kPageUp},
                                                     {GLFW_KEY_KP_SUBTRACT, Key::kPageDown}}};

/// GLFW 3.4 may choose Wayland by itself, which does not tell a window's place, nor whether a key
/// is held. 3.3 knows X alone, and does not know this hint; it only reports that. The numbers are
/// GLFW_PLATFORM and GLFW_PLATFORM_X11 of 3.4.
constexpr int kPlatformHint = 0x00050003;
constexpr int kPlatformX11 = 0x00060004;

/// While the window grows, it raises its own scale in steps of at least this.
constexpr float kScaleGrain = 0.25F;

std::optional<Key> to_key(int glfw_key) {
  const auto found = std::find_if(
      kKeys.begin(), kKeys.end(), [glfw_key](const auto& pair) { return pair.first == glfw_key; });
  return found == kKeys.end() ? std::nullopt : std::optional(found->second);
}

std::vector<ScreenArea> screens() {
  int count = 0;
  GLFWmonitor** const monitors = glfwGetMonitors(&count);
  std::vector<ScreenArea> areas;
  for (int i = 0; i < count; ++i) {
    ScreenArea area;
    glfwGetMonitorWorkarea(monitors[i], &area.x, &area.y, &area.width, &area.height);
    if (area.width > 0 && area.height > 0) {
      areas.push_back(area);
    }
  }
  return areas;
}

/// Dear ImGui from 1.87 on hands out the events of one pass over several, unless it is told not to.
/// A text that is typed on a slow machine would then come after the Enter that ends it. Older ones
/// do not know the word.
template <typename Io>
void take_events_at_once(Io& io) {
  if constexpr (requires { io.ConfigInputTrickleEventQueue; }) {
    io.ConfigInputTrickleEventQueue = false;
  }
}

}  // namespace

struct Window::State {
  GLFWwindow* window = nullptr;
  WindowPlace place;
  Theme theme;
  float wanted_scale = 1.0F;
  Input input;
  int last_action = GLFW_RELEASE;  // of the key whose character comes next
  std::optional<KeyHold> space;    // none where the system cannot be asked

  static State& of(GLFWwindow* window) {
    return *static_cast<State*>(glfwGetWindowUserPointer(window));
  }

  void watch_input();
  void watch_space();
  void press(Key key, char32_t character, int mods, int action);
};

void Window::State::press(Key key, char32_t character, int mods, int action) {
  Press press;
  press.key = key;
  press.character = character;
  press.has_shift = (mods & GLFW_MOD_SHIFT) != 0;
  press.is_repeat = action == GLFW_REPEAT;
  input.presses.push_back(press);
}

/// Must run before ImGui sets its own callbacks, which then call these. ImGui looks at keys once a
/// pass, and would miss a key pressed and released in between.
void Window::State::watch_input() {
  glfwSetWindowUserPointer(window, this);
  glfwSetKeyCallback(window, [](GLFWwindow* of_window, int key, int, int action, int mods) {
    of(of_window).last_action = action;
    const auto known = to_key(key);
    if (known && action != GLFW_RELEASE) {
      of(of_window).press(*known, 0, mods, action);
    }
  });
  glfwSetCharCallback(window, [](GLFWwindow* of_window, unsigned int character) {
    State& state = of(of_window);
    state.press(Key::kCharacter, character, 0, state.last_action);
  });
  glfwSetDropCallback(window, [](GLFWwindow* of_window, int count, const char** paths) {
    auto& files = of(of_window).input.dropped_files;
    files.insert(files.end(), paths, paths + count);
  });
}

void Window::State::watch_space() {
  std::function<bool()> is_down = key_probe(GLFW_KEY_SPACE);
  if (!is_down) {
    return;
  }
  space.emplace(std::move(is_down));
  input.at_space_release = [this](std::function<void()> silence) {
    space->at_release(std::move(silence));
  };
}

Window::Window() : state_(std::make_unique<State>()) {
  glfwInitHint(kPlatformHint, kPlatformX11);
  std::string reason = "there is no display";
  static std::string* said = nullptr;
  said = &reason;
  glfwSetErrorCallback([](int, const char* text) { *said = text; });
  if (glfwInit() == GLFW_FALSE) {
    throw base::Error{
        fmt::format("no window can be opened ({}); 'brink listen' works without one.", reason)};
  }
  glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
  glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
  glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
  glfwWindowHint(GLFW_VISIBLE, GLFW_FALSE);
  state_->window = glfwCreateWindow(kFirstWidth, kFirstHeight, "brink", nullptr, nullptr);
  if (state_->window == nullptr) {
    glfwTerminate();
    throw base::Error{fmt::format("no window can be opened ({}); brink needs OpenGL 3.3.", reason)};
  }
  glfwSetErrorCallback(nullptr);
  glfwMakeContextCurrent(state_->window);
  glfwSwapInterval(1);
  state_->watch_input();
  state_->watch_space();
  ImGui::CreateContext();
  ImGui::GetIO().IniFilename = nullptr;
  take_events_at_once(ImGui::GetIO());
  ImGui_ImplGlfw_InitForOpenGL(state_->window, true);
  ImGui_ImplOpenGL3_Init("#version 330");
  // This also makes a font texture; set_scale() replaces it.
  ImGui_ImplOpenGL3_CreateDeviceObjects();
}

void Window::show(const WindowPlace& place, float scale) {
  if (!(scale > 0.0F)) {
    glfwGetWindowContentScale(state_->window, &scale, nullptr);
  }
  state_->place = fitted(place, screens(), scale);
  glfwSetWindowSize(state_->window, state_->place.width, state_->place.height);
  if (place.is_known) {
    glfwSetWindowPos(state_->window, state_->place.x, state_->place.y);
  }
  if (place.is_maximised) {
    glfwMaximizeWindow(state_->window);
  }
  glfwShowWindow(state_->window);
  set_scale(scale);
}

Window::~Window() {
  ImGui_ImplOpenGL3_Shutdown();
  ImGui_ImplGlfw_Shutdown();
  ImGui::DestroyContext();
  glfwDestroyWindow(state_->window);
  glfwTerminate();
}

bool Window::is_closing() const noexcept {
  return glfwWindowShouldClose(state_->window) != GLFW_FALSE;
}

bool Window::is_visible() const noexcept {
  return glfwGetWindowAttrib(state_->window, GLFW_VISIBLE) != GLFW_FALSE &&
         glfwGetWindowAttrib(state_->window, GLFW_ICONIFIED) == GLFW_FALSE;
}

const WindowPlace& Window::place() const noexcept {
  return state_->place;
}

int Window::width() const noexcept {
  int width = 0;
  glfwGetWindowSize(state_->window, &width, nullptr);
  return width;
}

int Window::height() const noexcept {
  int height = 0;
  glfwGetWindowSize(state_->window, nullptr, &height);
  return height;
}

/// Takes over the place and size that the user gave the window. Sets the wanted scale as soon as
/// there is room.
void Window::follow_size() {
  WindowPlace& place = state_->place;
  if (glfwGetWindowAttrib(state_->window, GLFW_ICONIFIED) == GLFW_FALSE) {
    place.is_maximised = glfwGetWindowAttrib(state_->window, GLFW_MAXIMIZED) != GLFW_FALSE;
    glfwGetWindowPos(state_->window, &place.x, &place.y);
    glfwGetWindowSize(state_->window, &place.width, &place.height);
  }
  const float room = scale_room();
  if (room >= std::min(state_->theme.scale + kScaleGrain, state_->wanted_scale) &&
      state_->wanted_scale > state_->theme.scale) {
    set_scale(state_->wanted_scale);
  }
}

float Window::scale_room() const noexcept {
  WindowPlace place;
  place.width = width();
  place.height = height();
  return room_for_scale(place);
}

const Input& Window::wait(double longest_s) {
  glfwWaitEventsTimeout(longest_s);
  // A release that was already acted upon is one, even if the key is down again by now.
  const bool was_released = state_->space && state_->space->take_release();
  state_->input.is_space_held = !was_released && is_key_held(state_->window, GLFW_KEY_SPACE);
  state_->input.has_focus = glfwGetWindowAttrib(state_->window, GLFW_FOCUSED) != GLFW_FALSE;
  return state_->input;
}

void Window::wake() noexcept {
  glfwPostEmptyEvent();
}

const Theme& Window::theme() const noexcept {
  return state_->theme;
}

void Window::set_scale(float scale) {
  // Letters never become too large for the window. Afterwards the window cannot become too small
  // for them.
  state_->wanted_scale = std::clamp(scale, Theme::kSmallestScale, Theme::kLargestScale);
  scale = std::max(std::min(state_->wanted_scale, scale_room()), Theme::kSmallestScale);
  state_->theme = load_theme(scale);
  glfwSetWindowSizeLimits(state_->window,
                          static_cast<int>(static_cast<float>(kSmallestWidth) * scale),
                          static_cast<int>(static_cast<float>(kSmallestHeight) * scale),
                          GLFW_DONT_CARE,
                          GLFW_DONT_CARE);
  ImGui_ImplOpenGL3_DestroyFontsTexture();
  ImGui_ImplOpenGL3_CreateFontsTexture();
  // The texture has the letters now; load_theme() makes them anew for another scale.
  ImGui::GetIO().Fonts->ClearTexData();
  ImGui::GetIO().Fonts->ClearInputData();
}

void Window::begin_pass() {
  follow_size();
  ImGui_ImplOpenGL3_NewFrame();
  ImGui_ImplGlfw_NewFrame();
  ImGui::NewFrame();
}

void Window::end_pass(const std::string& picture_path) {
  ImGui::Render();
  int width = 0;
  int height = 0;
  glfwGetFramebufferSize(state_->window, &width, &height);
  glViewport(0, 0, width, height);
  glClearColor(0.055F, 0.063F, 0.078F, 1.0F);
  glClear(GL_COLOR_BUFFER_BIT);
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
  std::vector<unsigned char> pixels;
  if (!picture_path.empty()) {
    pixels.resize(static_cast<std::size_t>(width * height) * 4);
    glReadBuffer(GL_BACK);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glReadPixels(0, 0, width, height, GL_RGBA, GL_UNSIGNED_BYTE, pixels.data());
  }
  glfwSwapBuffers(state_->window);
  state_->input.presses.clear();
  state_->input.dropped_files.clear();
  if (!picture_path.empty()) {
    write_picture(picture_path, width, height, pixels);
  }
}

std::unique_ptr<StripTexture> Window::make_strip() {
  return std::make_unique<GlStrip>();
}

}  // namespace brink::panel
