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
#include "io/paths.h"
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

constexpr float kHeadHeight = 62.0F;
constexpr float kBarHeight = 34.0F;
constexpr float kMargin = 16.0F;

/// A field of Dear ImGui takes the letters of a pass when it is drawn, after the keys of that pass.
bool is_field_behind() {
  return ImGui::GetIO().WantTextInput && !ImGui::GetIO().InputQueueCharacters.empty();
}

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
    const std::filesystem::path file = io::to_path(settings_.now().target);
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
    desk_.session().show_tap(view_.tap_index);
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

/// Head, pane and foot.
void Panel::draw_parts(const Rect& whole, Context& context) {
  const Theme& theme = context.theme;
  Rect rest = whole;
  const float margin = theme.px(kMargin);
  Rect tabs = rest.take_bottom(theme.px(kBarHeight));
  Rect bar = rest.take_bottom(theme.px(kBarHeight));
  canvas().AddRectFilled(ImVec2(bar.left, bar.top), ImVec2(tabs.right, tabs.bottom), colour::kPlot);
  const Rect head = rest.take_top(theme.px(kHeadHeight));
  pane().draw({rest.left + margin, rest.top, rest.right - margin, rest.bottom - margin}, context);
  draw_head({head.left + margin, head.top, head.right - margin, head.bottom}, theme);
  offer_taps();
  actions_.draw_bar({bar.left + margin, bar.top, bar.right - margin, bar.bottom}, theme);
  offer_everywhere();
  tabs = {tabs.left + margin, tabs.top, tabs.right - margin, tabs.bottom};
  draw_tabs(tabs, theme);
  actions_.draw_bar(tabs, theme, Align::kRight);
}

/// A ring stands over the pages that lie over everything else.
void Panel::draw_over_page(const Rect& whole, const Theme& theme) {
  if ((view_.overlay == Overlay::kNone && !page_.is_shown()) || !announcement()) {
    return;
  }
  Rect head = whole;
  head = head.take_top(theme.px(kHeadHeight));
  canvas().AddRectFilled(
      ImVec2(head.left, head.top), ImVec2(head.right, head.bottom), colour::kGround);
  const float margin = theme.px(kMargin);
  draw_head({head.left + margin, head.top, head.right - margin, head.bottom}, theme);
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
  input.presses = presses_.take(fresh.presses, is_typing, is_field_behind());
  actions_.begin(input, is_typing);
  seen_.begin(theme);
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
                  seen_,
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
                seen_,
                on_news_};
  const bool is_covered = view_.overlay != Overlay::kNone || page_.is_shown();
  Context& shown = is_covered ? under : context;
  if (view_.is_from_afar) {
    pane().draw(whole.inset(theme.px(kMargin)), shown);
    offer_taps();
    offer_everywhere();
  } else {
    draw_parts(whole, shown);
  }
  draw_overlay(whole, context);
  draw_over_page(whole, theme);
  settings_.now().trainee = view_.trainee;
  ImGui::End();
  ImGui::PopFont();
}

}  // namespace brink::panel
