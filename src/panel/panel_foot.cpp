// The foot of the window: the panes, and the keys that work everywhere.

#include <fmt/format.h>

#include <optional>
#include <string>

#include "desk/target_library.h"
#include "panel/draw/draw.h"
#include "panel/panel.h"

namespace brink::panel {
namespace {

constexpr float kScaleStep = 0.25F;
constexpr float kNarrowTabs = 1040.0F;

}  // namespace

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

void Panel::show_pane(std::size_t index) {
  view_.pane = static_cast<PaneId>(index);
  view_.is_from_afar = false;
}

/// Whether what one acts on fills the window. It is that of the output that is rung out, or else of
/// what is listened to.
void Panel::steer_afar() {
  if (actions_.offer("9", "afar")) {
    view_.is_from_afar = !view_.is_from_afar;
    if (view_.is_from_afar && !is_live()) {
      view_.pane = show_.flow().output() != nullptr ? PaneId::kRingOut : PaneId::kListen;
    }
  }
  if (!view_.is_from_afar) {
    return;
  }
  for (std::size_t i = 0; i < kPanes; ++i) {  // the tabs with these keys are not drawn
    if (actions_.is_pressed(static_cast<char32_t>(U'1' + i))) {
      show_pane(i);
    }
  }
  const bool is_bare = view_.overlay == Overlay::kNone && !page_.is_shown();
  if (is_bare && actions_.is_pressed(Key::kEscape)) {
    view_.is_from_afar = false;
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
      show_pane(i);
    }
    x += theme.px(area.width() < theme.px(kNarrowTabs) ? 10.0F : 26.0F);
  }
}

void Panel::offer_everywhere() {
  const auto toggle = [this](Overlay overlay) {
    view_.overlay = view_.overlay == overlay ? Overlay::kNone : overlay;
    return view_.overlay == overlay;
  };
  steer_afar();
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
  if (actions_.offer("E", "exposure")) {
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

}  // namespace brink::panel
