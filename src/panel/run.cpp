#include "panel/run.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <optional>
#include <utility>

#include "base/error.h"
#include "desk/target_library.h"
#include "io/live/capture.h"
#include "io/paths.h"
#include "io/process.h"
#include "io/whole_file.h"
#include "panel/panel.h"
#include "panel/window/window.h"
#include "show/kept_target.h"

namespace brink::panel {
namespace {

using Clock = std::chrono::steady_clock;

constexpr double kLongestSleepS = 0.5;
/// Drawing more often shows nothing that a hop of 16 ms has not shown, and heats a laptop.
constexpr std::chrono::milliseconds kShortestPass(30);
/// What nobody sees is drawn for its clock, the state file and events alone.
constexpr std::chrono::milliseconds kUnseenPass(500);
constexpr std::chrono::milliseconds kStatePause(100);

/// Keeps a file that says what is shown. Readers never see half of it.
class StateFile {
 public:
  StateFile(std::string path, io::ReplaceRule rule)
      : path_(std::move(path)), rule_(std::move(rule)) {
    if (!path_.empty()) {
      io::check_replaceable(path_, rule_);
    }
  }

  void update(Panel& panel) {
    const Clock::time_point now = Clock::now();
    if (path_.empty() || now - written_ < kStatePause) {
      return;
    }
    written_ = now;
    try {
      io::WholeFile file(path_, rule_);
      file.append(panel.state_json());
      file.commit();
    } catch (const base::Error&) {
      return;  // tried again soon; the window goes on without it
    }
  }

 private:
  std::string path_;
  io::ReplaceRule rule_;
  Clock::time_point written_;
};

/// Sleeps until the next pass is due, or the window is seen again.
class Pace {
 public:
  /// What the user did since the last pass.
  /// `is_read`: a telephone shows what the window does.
  const Input& wait(Window& window, bool is_behind, bool is_read) {
    is_read_ = is_read;
    const Input* input = &window.wait(is_behind ? 0.0 : kLongestSleepS);
    while (!is_behind && input->presses.empty() && !window.is_closing() && !is_let_go(*input)) {
      const std::chrono::duration<double> early = due(window, *input) - Clock::now();
      if (early.count() <= 0.0) {
        break;
      }
      input =
          &window.wait(early.count());  // not in one sleep: coming back or closing is due at once
    }
    was_unseen_ = is_unseen(window, *input);
    was_held_ = input->is_space_held;
    last_pass_ = Clock::now();
    return *input;
  }

 private:
  /// What sounds while a key is held is silenced at once.
  [[nodiscard]] bool is_let_go(const Input& input) const noexcept {
    return was_held_ && !input.is_space_held;
  }

  [[nodiscard]] static bool is_unseen(const Window& window, const Input& input) {
    return !window.is_visible() && !input.has_focus;
  }

  [[nodiscard]] Clock::time_point due(const Window& window, const Input& input) const {
    // The first pass unseen comes soon: it silences what sounds.
    return last_pass_ +
           (is_unseen(window, input) && was_unseen_ && !is_read_ ? kUnseenPass : kShortestPass);
  }

  Clock::time_point last_pass_;
  bool was_unseen_ = false;
  bool is_read_ = false;
  bool was_held_ = false;
};

/// Remembers where the window stands, as soon as it stays there.
class PlaceKeeper {
 public:
  /// How long the user has not moved it: not every step of a hand's move is worth a file.
  static constexpr std::chrono::milliseconds kSettled{400};

  [[nodiscard]] static WindowPlace remembered(const desk::Settings& settings) {
    WindowPlace place;
    place.is_known = settings.has_window_place;
    if (place.is_known) {
      place.x = settings.window_x;
      place.y = settings.window_y;
      place.width = settings.window_width;
      place.height = settings.window_height;
    }
    place.is_maximised = settings.is_maximised;
    return place;
  }

  void follow(const WindowPlace& place, desk::Settings& settings) {
    const Clock::time_point now = Clock::now();
    if (place != seen_ || moved_ == Clock::time_point()) {
      seen_ = place;
      moved_ = now;
    } else if (now - moved_ >= kSettled) {
      keep(settings);
    }
  }

  void keep(desk::Settings& settings) const {
    if (moved_ == Clock::time_point()) {
      return;  // it was never seen
    }
    settings.is_maximised = seen_.is_maximised;
    if (seen_.is_maximised) {
      return;  // the rest is what it goes back to
    }
    settings.has_window_place = true;
    settings.window_x = seen_.x;
    settings.window_y = seen_.y;
    settings.window_width = seen_.width;
    settings.window_height = seen_.height;
  }

 private:
  WindowPlace seen_;
  Clock::time_point moved_;
};

/// The first free name, so that no picture is ever replaced.
std::string picture_path(const std::string& folder) {
  for (int number = 1;; ++number) {
    const auto path = io::to_path(folder) / fmt::format("brink-{:02}.png", number);
    if (!std::filesystem::exists(path)) {
      return path.string();
    }
  }
}

void draw_pass(Window& window, Panel& panel, const Input& input, const std::string& pictures) {
  panel.draw(input,
             window.theme(),
             static_cast<float>(window.width()),
             static_cast<float>(window.height()));
  try {
    const bool wants_picture = panel.wishes().wants_picture;
    window.end_pass(wants_picture ? picture_path(pictures) : std::string());
  } catch (const base::Error& error) {
    panel.desk().set_trouble(error.what());
  }
  if (panel.wishes().scale_step != 0.0F) {
    window.set_scale(window.theme().scale + panel.wishes().scale_step);
    panel.settings().interface_scale = static_cast<double>(window.theme().scale);
  }
}

}  // namespace

void run(const RunOptions& options) {
  io::give_back_large_memory();  // a long recording is told anew many times
  std::optional<cuts::Target> target;
  if (!options.target.empty()) {
    target = desk::load_target(options.target);  // refused before there is a window
  }
  const std::string book = options.book.empty() ? io::default_book_path() : options.book;
  StateFile state(options.state_file,
                  {{R"({"schema":"brink/panel/)"}, options.replaces, {book, options.target}});
  Window window;
  Panel panel([] { Window::wake(); }, window.make_strip(), book, window.make_strip());
  panel.page().set_wish(options.page);
  if (options.opens_page) {
    panel.page().open();  // refused before the window is seen
  }
  if (target) {
    panel.desk().set_target(*target);
  }
  if (!options.names.empty()) {
    panel.name_channels(show::ChannelNames::parse(options.names, "names"));
  }
  if (!options.input.empty()) {
    io::CaptureConfig config;
    config.input = options.input;
    panel.desk().use_input(config);
  }
  const auto remembered_scale = static_cast<float>(panel.settings().interface_scale);
  window.show(PlaceKeeper::remembered(panel.settings()),
              options.scale > 0.0F ? options.scale : remembered_scale);
  const float room = room_for_scale(window.place());
  if (room < options.scale) {
    panel.desk().set_trouble(
        fmt::format("Letters at scale {:g} do not fit: shown at {:.3g}, and larger as soon as the "
                    "window is.",
                    options.scale,
                    std::max(room, 1.0F)));
  }
  PlaceKeeper place;
  Pace pace;
  const auto is_over = [&window, &options] {
    return window.is_closing() || (options.is_asked_to_end && options.is_asked_to_end());
  };
  while (!is_over()) {
    const Input& input = pace.wait(window, panel.is_behind(), panel.page().is_read());
    window.begin_pass();
    place.follow(window.place(), panel.settings());
    draw_pass(window, panel, input, options.pictures);
    state.update(panel);
  }
  place.keep(panel.settings());
}

}  // namespace brink::panel
