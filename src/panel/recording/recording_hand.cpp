#include "panel/recording/recording_hand.h"

#include <algorithm>
#include <cmath>

#include "panel/plots/frequency_axis.h"

namespace brink::panel {
namespace {

constexpr double kKeyZoom = 0.5;
constexpr double kWheelZoom = 0.8;  // for each step
constexpr double kKeyPan = 0.5;     // of the view

}  // namespace

void RecordingHand::open(const listen::Analysis& analysis) {
  view_.open(analysis.samples, analysis.sample_rate_hz);
  cursor_.reset();
}

void RecordingHand::take_keys(Actions& actions, const PlotScale& scale, double about) {
  const double moment = cursor_ ? cursor_->sample : about;
  const double share = (moment - scale.from) / (scale.to - scale.from);
  const double seen = share >= 0.0 && share <= 1.0 ? share : 0.5;
  if (actions.offer("Z", "closer")) {
    view_.zoom(kKeyZoom, seen);
  }
  if (!view_.is_whole()) {
    if (actions.offer("X", "wider")) {
      view_.zoom(1.0 / kKeyZoom, seen);
    }
    if (actions.offer("F", "whole file")) {
      view_.show_all();
    }
    actions.show("Page", "along");
    view_.pan(kKeyPan *
              (actions.count_presses(Key::kPageDown) - actions.count_presses(Key::kPageUp)));
  }
}

/// By Shift and the arrows: a hundredth of the view, and 20 cents.
void RecordingHand::move_cursor(const Actions& actions, const PlotScale& scale) {
  const int along =
      actions.count_presses(Key::kRight, true) - actions.count_presses(Key::kLeft, true);
  const int up = actions.count_presses(Key::kUp, true) - actions.count_presses(Key::kDown, true);
  if (along == 0 && up == 0) {
    return;
  }
  constexpr double kStep = 0.01;
  constexpr double kUpCents = 20.0;
  constexpr double kCentsAnOctave = 1200.0;
  if (!cursor_) {
    cursor_ = RecordingCursor{0.5 * (scale.from + scale.to), 1000.0, std::max(scale.channel, 1)};
  }
  cursor_->sample =
      std::clamp(cursor_->sample + along * kStep * (scale.to - scale.from), scale.from, scale.to);
  cursor_->frequency_hz =
      std::clamp(cursor_->frequency_hz * std::exp2(up * kUpCents / kCentsAnOctave),
                 FrequencyAxis::kLowestHz,
                 FrequencyAxis::kHighestHz);
}

std::optional<ImVec2> RecordingHand::take_mouse(const Actions& actions,
                                                const PlotScale& scale,
                                                const Theme& theme) {
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const bool has_moved = mouse.x != last_mouse_.x || mouse.y != last_mouse_.y;
  const float dx = mouse.x - last_mouse_.x;
  last_mouse_ = mouse;
  if (const float steps = actions.wheel_steps(scale.plot); steps != 0.0F) {
    const double share = (scale.sample_at(mouse.x) - scale.from) / (scale.to - scale.from);
    view_.zoom(std::pow(kWheelZoom, static_cast<double>(steps)), share);
  }
  if (actions.is_clicked(scale.plot)) {
    pressed_ = mouse;
    is_dragged_ = false;
  }
  if (pressed_) {
    const float least = theme.px(4.0F);  // a click is never quite still
    is_dragged_ = is_dragged_ || std::abs(mouse.x - pressed_->x) > least;
    if (is_dragged_ && ImGui::IsMouseDown(0)) {
      view_.pan(static_cast<double>(-dx / scale.plot.width()));
    }
    if (!ImGui::IsMouseDown(0)) {
      const std::optional<ImVec2> click = is_dragged_ ? std::nullopt : pressed_;
      pressed_.reset();
      return click;
    }
  } else if (has_moved && scale.plot.holds(mouse.x, mouse.y)) {
    cursor_ =
        RecordingCursor{scale.sample_at(mouse.x), scale.hz_at(mouse.y), scale.channel_at(mouse.y)};
  }
  return std::nullopt;
}

std::optional<ImVec2> RecordingHand::steer(Actions& actions,
                                           const PlotScale& scale,
                                           double about,
                                           const Theme& theme) {
  take_keys(actions, scale, about);
  move_cursor(actions, scale);
  return take_mouse(actions, scale, theme);
}

}  // namespace brink::panel
