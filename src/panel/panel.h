#pragma once

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "desk/desk.h"
#include "desk/settings_keeper.h"
#include "desk/show_keeper.h"
#include "io/book/book.h"
#include "panel/actions.h"
#include "panel/draw/seen.h"
#include "panel/ear/live_guess.h"
#include "panel/live/pickers.h"
#include "panel/page/page_card.h"
#include "panel/pane.h"
#include "panel/plots/time_strip.h"
#include "panel/plots/trails.h"
#include "panel/view.h"
#include "panel/window/press_queue.h"

namespace brink::panel {

class RingOutPane;

/// The whole interface, drawn with Dear ImGui into whatever context is present; knows no window.
class Panel {
 public:
  static constexpr std::size_t kPanes = 7;

  /// `on_news` is called on other threads when there is something new to draw. `book_path`: the
  /// book that everything is logged in. `recording`: for the picture of a whole file; without one
  /// none is drawn.
  Panel(std::function<void()> on_news,
        std::unique_ptr<StripTexture> strip,
        const std::string& book_path,
        std::unique_ptr<StripTexture> recording = nullptr);

  /// One pass: takes what is new, acts on the user's input (is_behind()), draws.
  void draw(const Input& fresh, const Theme& theme, float width, float height);

  /// What the user asked the window for in the last pass.
  struct Wishes {
    float scale_step = 0.0F;
    bool wants_picture = false;
  };

  [[nodiscard]] const Wishes& wishes() const noexcept { return wishes_; }

  /// Presses are left that the last pass could not act on: another one is due at once.
  [[nodiscard]] bool is_behind() const noexcept { return !presses_.is_empty(); }

  [[nodiscard]] desk::Desk& desk() noexcept { return desk_; }

  /// What the channels are called; kept with the settings.
  void name_channels(const show::ChannelNames& names);

  /// Remembered from one run to the next.
  [[nodiscard]] desk::Settings& settings() noexcept { return settings_.now(); }

  /// The page for a telephone, which the key 0 opens.
  [[nodiscard]] PageCard& page() noexcept { return page_; }

  /// What is shown, as one JSON object.
  [[nodiscard]] std::string state_json();

 private:
  void hear();
  void show_tap_in_strip();
  void follow_stream();
  void offer_taps();

  /// The pane at hand shows what is listened to.
  [[nodiscard]] bool is_live() const noexcept {
    return view_.pane == PaneId::kListen || view_.pane == PaneId::kRingOut;
  }

  /// It does so in full view: no page or form lies over it.
  [[nodiscard]] bool shows_rings() const noexcept {
    return is_live() && view_.overlay == Overlay::kNone && !page_.is_shown() && !view_.is_typing;
  }

  /// A line in the head: what is read from afar, and a smaller rest.
  struct HeadLine {
    std::string words;
    std::string rest;
    ImU32 paint = colour::kText;
    bool is_ring = false;
  };

  /// A ring that nothing else on the screen shows.
  [[nodiscard]] std::optional<HeadLine> announcement() const;
  [[nodiscard]] std::optional<HeadLine> warning() const;
  [[nodiscard]] std::string source_line(const Theme& theme, float width);
  void draw_head(const Rect& area, const Theme& theme);
  void draw_head_line(Rect rest, const HeadLine& line, const Theme& theme);
  void draw_tabs(const Rect& area, const Theme& theme);
  void offer_everywhere();
  void show_pane(std::size_t index);
  void steer_afar();
  void draw_overlay(const Rect& area, Context& context);
  void draw_parts(const Rect& whole, Context& context);
  void draw_over_page(const Rect& whole, const Theme& theme);

  [[nodiscard]] Pane& pane() noexcept { return *panes_[static_cast<std::size_t>(view_.pane)]; }

  std::function<void()> on_news_;
  desk::Desk desk_;
  io::Book book_;
  desk::SettingsKeeper settings_;
  desk::ShowKeeper show_;
  View view_;
  PressQueue presses_;
  Actions actions_;
  Trails trails_;
  TimeStrip strip_;
  LiveGuess live_guess_;
  SeenSizes seen_;
  InputPicker input_picker_;
  TargetPicker target_picker_;
  PageCard page_;
  std::array<std::unique_ptr<Pane>, kPanes> panes_;
  RingOutPane* ring_out_ = nullptr;  // one of them
  Wishes wishes_;
  std::int64_t passes_ = 0;
  std::int64_t shown_events_ = 0;
  double slowest_event_ms_ = 0.0;  // from the analysis to the pass that shows it
  float width_ = 0.0F;             // of the last pass
  float height_ = 0.0F;
  float scale_ = 1.0F;
  int followed_source_ = 0;
  std::optional<std::size_t> followed_tap_;
  std::uint64_t followed_serial_ = 0;
};

}  // namespace brink::panel
