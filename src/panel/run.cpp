#include "panel/run.h"

#include <fmt/format.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <thread>

#include "core/error.h"
#include "io/capture.h"
#include "panel/panel.h"
#include "panel/window.h"

namespace brink::panel {
namespace {

using Clock = std::chrono::steady_clock;

constexpr double kLongestSleepS = 0.5;
/// Drawing more often shows nothing that a hop of 16 ms has not shown, and heats a laptop.
constexpr std::chrono::milliseconds kShortestPass(30);
constexpr std::chrono::milliseconds kStatePause(100);

/// Keeps a file that says what is shown. Readers never see half of it.
class StateFile {
 public:
  explicit StateFile(std::string path) : path_(std::move(path)) {}

  void update(Panel& panel) {
    const Clock::time_point now = Clock::now();
    if (path_.empty() || now - written_ < kStatePause) {
      return;
    }
    written_ = now;
    const std::string draft = path_ + ".new";
    std::ofstream(draft) << panel.state_json();
    std::error_code fault;
    std::filesystem::rename(draft, path_, fault);
  }

 private:
  std::string path_;
  Clock::time_point written_;
};

/// The first free name, so that no picture is ever replaced.
std::string picture_path(const std::string& folder) {
  for (int number = 1;; ++number) {
    const auto path = std::filesystem::path(folder) / fmt::format("brink-{:02}.png", number);
    if (!std::filesystem::exists(path)) {
      return path.string();
    }
  }
}

}  // namespace

void run(const RunOptions& options) {
  Window window({}, options.scale);
  Panel panel([] { Window::wake(); },
              window.make_strip(),
              options.book.empty() ? io::default_book_path() : options.book,
              window.make_strip());
  if (!options.input.empty()) {
    io::CaptureConfig config;
    config.input = options.input;
    panel.desk().use_input(config);
  }
  StateFile state(options.state_file);
  Clock::time_point last_pass;
  while (!window.is_closing()) {
    const Input& input = window.wait(panel.is_behind() ? 0.0 : kLongestSleepS);
    if (input.presses.empty() && !panel.is_behind()) {
      std::this_thread::sleep_until(last_pass + kShortestPass);
    }
    last_pass = Clock::now();
    const WindowPlace place = window.place();
    window.begin_pass();
    panel.draw(
        input, window.theme(), static_cast<float>(place.width), static_cast<float>(place.height));
    try {
      const bool wants_picture = panel.wishes().wants_picture;
      window.end_pass(wants_picture ? picture_path(options.pictures) : std::string());
    } catch (const core::Error& error) {
      panel.desk().set_trouble(error.what());
    }
    if (panel.wishes().scale_step != 0.0F) {
      window.set_scale(window.theme().scale + panel.wishes().scale_step);
    }
    state.update(panel);
  }
}

}  // namespace brink::panel
