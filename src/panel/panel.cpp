#include "panel/panel.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <string_view>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "desk/heard_sound.h"
#include "desk/obey_show.h"
#include "desk/target_library.h"
#include "panel/book/book_pane.h"
#include "panel/draw/draw.h"
#include "panel/ear/ear_pane.h"
#include "panel/live/listen_pane.h"
#include "panel/live/shown_tap.h"
#include "panel/overlays.h"
#include "panel/reach/reach_pane.h"
#include "panel/recording/recording_pane.h"
#include "panel/ring_out/ring_out_pane.h"
#include "panel/sweep/sweep_pane.h"
#include "show/kept_target.h"

namespace brink::panel {
namespace {

constexpr float kHeadHeight = 60.0F;
constexpr float kBarHeight = 34.0F;
constexpr float kMargin = 16.0F;
constexpr float kScaleStep = 0.25F;
constexpr float kNarrowTabs = 1040.0F;

}  // namespace

Panel::Panel(std::function<void()> on_news,
             std::unique_ptr<StripTexture> strip,
             const std::string& book_path,
             std::unique_ptr<StripTexture> recording)
    : on_news_(on_news),
      desk_(std::move(on_news)),
      book_(book_path),
      settings_(desk::settings_path()),
      show_(book_path, book_, settings_.now().venue, settings_.now().show, on_news_),
      strip_(std::move(strip)),
      live_guess_(book_),
      page_(on_news_) {
  view_.trainee = settings_.now().trainee;
  name_channels(show::ChannelNames::parse(settings_.now().channel_names, "settings"));
  try {
    desk_.set_target(desk::load_target(settings_.now().target));
  } catch (const base::Error&) {
    const std::filesystem::path file = settings_.now().target;
    desk_.set_trouble(
        fmt::format("The target {} cannot be read: cuts are fitted to {}. T chooses another.",
                    base::printable(file.filename().string()),
                    desk_.target().name));
  }
  panes_[0] = std::make_unique<ListenPane>();
  auto ring_out = std::make_unique<RingOutPane>(book_path, show_, on_news_);
  ring_out_ = ring_out.get();
  panes_[1] = std::move(ring_out);
  panes_[2] = std::make_unique<EarPane>(book_path, book_, on_news_);
  panes_[3] = std::make_unique<RecordingPane>(book_path, std::move(recording));
  panes_[4] = std::make_unique<ReachPane>();
  panes_[5] = std::make_unique<BookPane>(book_path, on_news_);
  panes_[6] = std::make_unique<SweepPane>(on_news_);
}

void Panel::name_channels(const show::ChannelNames& names) {
  panel::name_channels(names, settings_, desk_, show_.flow());
}

/// What is heard goes into the one list of live rings, and from there to every face. What the show
/// says goes to the desk.
void Panel::hear() {
  show_.hear(desk_.fresh_events(),
             desk_.source_count(),
             desk::heard_sound(desk_.snapshot(), desk_.session().sample_rate_hz()));
  show_.watch(desk_.snapshot());
  show_.update();
  desk::obey_show(show_.flow(), desk_);
  if (show_.flow().output() == nullptr) {
    desk_.propose_for(show_.flow().rings());
  }
}

void Panel::show_tap_in_strip() {
  const std::vector<int>& taps = desk_.session().taps();
  strip_.show_tap(view_.tap_index   ? taps[*view_.tap_index]
                  : taps.size() > 1 ? TimeStrip::kAllTaps
                                    : taps.front());
}

/// What the plots remember follows the stream, whether they are shown or not.
void Panel::follow_stream() {
  if (followed_source_ != desk_.source_count()) {
    followed_source_ = desk_.source_count();
    view_.tap_index = followed_tap_ = std::nullopt;
    trails_.clear();
    strip_.clear();
    show_tap_in_strip();
  }
  if (followed_tap_ != view_.tap_index) {
    followed_tap_ = view_.tap_index;
    trails_.clear();
    show_tap_in_strip();
  }
  for (const show::SessionEvent& event : desk_.fresh_events()) {
    strip_.take(event);
    const std::chrono::duration<double, std::milli> waited =
        std::chrono::system_clock::now() - event.wall;
    slowest_event_ms_ = std::max(slowest_event_ms_, waited.count());
    ++shown_events_;
  }
  const listen::Snapshot& snapshot = desk_.snapshot();
  if (snapshot.serial != followed_serial_) {
    followed_serial_ = snapshot.serial;
    const listen::TapSnapshot& tap = shown_tap(snapshot, view_);
    trails_.look(tap.tracks);
    strip_.look(desk_.stream_s(), desk_.session().spectrum_hz(), tap.spectrum_dbfs);
  }
}

/// All together, then each by itself, then all again.
void Panel::offer_taps() {
  const std::size_t count = desk_.session().taps().size();
  if (count > 1 && is_live() && view_.overlay == Overlay::kNone &&
      actions_.offer(
          "J",
          view_.tap_index && *view_.tap_index + 1 == count ? "all channels" : "next channel")) {
    const std::size_t next = view_.tap_index ? *view_.tap_index + 1 : 0;
    view_.tap_index = next < count ? std::optional(next) : std::nullopt;
  }
}

void Panel::draw_tabs(const Rect& area, const Theme& theme) {
  float x = area.left;
  const float y = area.middle_y() - 0.5F * theme.body->FontSize;
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  for (std::size_t i = 0; i < kPanes; ++i) {
    if (!panes_[i]) {
      continue;
    }
    const bool is_shown = static_cast<std::size_t>(view_.pane) == i;
    const std::string number = fmt::format("{}", i + 1);
    const float start = x;
    const ImU32 key = actions_.is_typing() ? colour::kQuiet : colour::kYellow;
    x += draw_text(theme.strong, x, y, key, number) + theme.px(6.0F);
    x += draw_text(is_shown ? theme.strong : theme.body,
                   x,
                   y,
                   is_shown ? colour::kText : colour::kQuiet,
                   panes_[i]->title());
    if (is_shown) {
      canvas().AddLine(ImVec2(start, area.bottom - theme.px(3.0F)),
                       ImVec2(x, area.bottom - theme.px(3.0F)),
                       colour::kText,
                       theme.px(2.0F));
    }
    const Rect tab{start, area.top, x, area.bottom};
    const bool is_clicked = tab.holds(mouse.x, mouse.y) && ImGui::IsMouseClicked(0);
    if (is_clicked || actions_.is_pressed(static_cast<char32_t>(U'1' + i))) {
      view_.pane = static_cast<PaneId>(i);
    }
    x += theme.px(area.width() < theme.px(kNarrowTabs) ? 14.0F : 26.0F);
  }
}

void Panel::offer_everywhere() {
  const auto toggle = [this](Overlay overlay) {
    view_.overlay = view_.overlay == overlay ? Overlay::kNone : overlay;
    return view_.overlay == overlay;
  };
  const bool is_narrow = width_ < scale_ * kNarrowTabs;  // the panes' names need the room
  const std::string hide = view_.hides_answers ? "show" : "hide";
  if (actions_.offer("H", is_narrow ? hide : hide + " answers")) {
    view_.hides_answers = !view_.hides_answers;
  }
  if (actions_.offer("I", "input") && toggle(Overlay::kInputs)) {
    input_picker_.open(on_news_);
  }
  if (actions_.offer("T", "target")) {
    target_picker_.open(desk::targets_folder(settings_.path()));
    toggle(Overlay::kTargets);
  }
  if (actions_.offer("0", is_narrow ? "page" : page_.key_words())) {
    view_.overlay = Overlay::kNone;
    page_.toggle();
  }
  if (actions_.offer("E", is_narrow ? "exposure" : "exposure guide")) {
    toggle(Overlay::kExposure);
  }
  if (actions_.offer("?", "help")) {
    toggle(Overlay::kHelp);
  }
  if (actions_.is_pressed(Key::kEscape)) {
    view_.overlay = Overlay::kNone;
    page_.hide();
  }
  if (view_.overlay != Overlay::kNone) {
    page_.hide();
  }
  const bool is_larger = actions_.is_pressed(U'+') || actions_.is_pressed(U'=');
  wishes_.scale_step = is_larger ? kScaleStep : actions_.is_pressed(U'-') ? -kScaleStep : 0.0F;
  wishes_.wants_picture = actions_.is_pressed(Key::kF12);
}

void Panel::draw_overlay(const Rect& area, Context& context) {
  switch (view_.overlay) {
    case Overlay::kNone:
      page_.draw(area, context);
      break;
    case Overlay::kHelp:
      draw_help(area, context);
      break;
    case Overlay::kExposure:
      draw_exposure_guide(area, context);
      break;
    case Overlay::kInputs:
      input_picker_.draw(area, context);
      break;
    case Overlay::kTargets:
      target_picker_.draw(area, context);
      break;
  }
}

void Panel::draw(const Input& fresh, const Theme& theme, float width, float height) {
  ++passes_;
  width_ = width;
  height_ = height;
  scale_ = theme.scale;
  desk_.update();
  hear();
  settings_.update();
  follow_stream();
  ImGui::SetNextWindowPos(ImVec2(0.0F, 0.0F));
  ImGui::SetNextWindowSize(ImVec2(width, height));
  constexpr ImGuiWindowFlags kPlain =
      ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
      ImGuiWindowFlags_NoBringToFrontOnFocus | ImGuiWindowFlags_NoNav;
  ImGui::PushFont(theme.body);
  ImGui::Begin("brink", nullptr, kPlain);
  const bool is_typing = ImGui::GetIO().WantTextInput || view_.is_typing;
  Input input = fresh;
  input.presses = presses_.take(fresh.presses, is_typing);
  actions_.begin(input, is_typing);
  view_.is_typing = false;  // until an open field says so again
  Context context{desk_,
                  book_,
                  show_,
                  settings_,
                  view_,
                  actions_,
                  input,
                  theme,
                  trails_,
                  strip_,
                  live_guess_,
                  on_news_};
  live_guess_.follow(context);
  if (page_.follow(context, ring_out_->is_editing())) {
    ring_out_->forget_sheet();
  }
  for (const std::unique_ptr<Pane>& one : panes_) {
    if (one) {
      one->follow(context);
    }
  }
  const Rect whole{0.0F, 0.0F, width, height};
  Rect rest = whole;
  const float margin = theme.px(kMargin);
  Rect tabs = rest.take_bottom(theme.px(kBarHeight));
  Rect bar = rest.take_bottom(theme.px(kBarHeight));
  canvas().AddRectFilled(ImVec2(bar.left, bar.top), ImVec2(tabs.right, tabs.bottom), colour::kPlot);
  const Rect head = rest.take_top(theme.px(kHeadHeight));
  // Under an overlay the pane goes on, without keys.
  Actions none;
  Context under{desk_,
                book_,
                show_,
                settings_,
                view_,
                none,
                input,
                theme,
                trails_,
                strip_,
                live_guess_,
                on_news_};
  pane().draw({rest.left + margin, rest.top, rest.right - margin, rest.bottom - margin},
              view_.overlay == Overlay::kNone && !page_.is_shown() ? context : under);
  draw_head({head.left + margin, head.top, head.right - margin, head.bottom}, theme);
  offer_taps();
  actions_.draw_bar({bar.left + margin, bar.top, bar.right - margin, bar.bottom}, theme);
  offer_everywhere();
  tabs = {tabs.left + margin, tabs.top, tabs.right - margin, tabs.bottom};
  draw_tabs(tabs, theme);
  actions_.draw_bar(tabs, theme, Align::kRight);
  draw_overlay(whole, context);
  settings_.now().trainee = view_.trainee;
  ImGui::End();
  ImGui::PopFont();
}

}  // namespace brink::panel
