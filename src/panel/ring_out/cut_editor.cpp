#include "panel/ring_out/cut_editor.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

#include "panel/draw/draw.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

using show::CutField;

constexpr std::array kFields{CutField::kCentre, CutField::kQ, CutField::kDepth};

const char* field_name(CutField field, cuts::Target::Kind kind) {
  if (field == CutField::kCentre) {
    return kind == cuts::Target::Kind::kGraphic ? "band" : "centre, Hz";
  }
  return field == CutField::kQ ? "Q" : "depth, dB";
}

double& value_of(cuts::Band& cut, CutField field) {
  return field == CutField::kCentre ? cut.centre_hz : field == CutField::kQ ? cut.q : cut.depth_db;
}

CutField next_field(CutField field, int by) {
  const int at = static_cast<int>(field) + by + static_cast<int>(kFields.size());
  return kFields[static_cast<std::size_t>(at) % kFields.size()];
}

}  // namespace

void CutEditor::open(const show::RingOut& flow, std::optional<std::uint64_t> ring) {
  entries_.clear();
  for (const show::OfferedRing& offer : flow.offered()) {
    const bool can = offer.proposal && offer.proposal->kind != show::Proposal::Kind::kCannot;
    if (offer.id == ring && can) {
      entries_.push_back({ring, 0, offer.proposal->cut(), "proposed, not logged yet"});
    }
  }
  if (flow.output() != nullptr) {
    for (std::size_t index = flow.output()->cuts.size(); index-- > 0;) {
      entries_.push_back({std::nullopt, index, flow.output()->cuts[index], "in place"});
    }
  }
  at_ = 0;
  field_ = CutField::kDepth;
  typed_.clear();
  is_fresh_ = true;
}

void CutEditor::step(int steps, const show::RingOut& flow) {
  finish_typing(flow);
  entries_[at_].cut = show::step_on(flow.target(), entries_[at_].cut, field_, steps);
}

/// What was typed, as near as the target comes to it; a depth is a cut whatever its sign.
void CutEditor::finish_typing(const show::RingOut& flow) {
  if (typed_.empty()) {
    return;
  }
  double value = std::strtod(typed_.c_str(), nullptr);
  typed_.clear();
  value = field_ == CutField::kDepth ? -std::abs(value) : std::abs(value);
  if (value == 0.0 || !std::isfinite(value)) {
    return;
  }
  cuts::Band cut = entries_[at_].cut;
  value_of(cut, field_) = value;
  entries_[at_].cut = show::nearest_on(flow.target(), cut);
}

void CutEditor::take(show::RingOut& flow) {
  finish_typing(flow);
  const Entry entry = entries_[at_];
  if (entry.ring) {
    flow.log_cut(*entry.ring, entry.cut);
  } else {
    flow.edit_cut(entry.index, entry.cut);
  }
  entries_.clear();
}

void CutEditor::press(const Press& press, show::RingOut& flow) {
  switch (press.key) {
    case Key::kUp:
    case Key::kDown: {
      const int up = press.key == Key::kUp ? 1 : -1;
      step(field_ == CutField::kDepth ? -up : up, flow);  // step_on() counts deeper as up
      break;
    }
    case Key::kLeft:
    case Key::kRight:
      finish_typing(flow);
      field_ = next_field(field_, press.key == Key::kRight ? 1 : -1);
      break;
    case Key::kTab:
      finish_typing(flow);
      at_ = (at_ + 1) % entries_.size();
      break;
    case Key::kBackspace:
      typed_ = typed_.substr(0, std::max<std::size_t>(typed_.size(), 1) - 1);
      break;
    case Key::kDelete:
      if (!entries_[at_].ring) {
        flow.remove_cut(entries_[at_].index);
        entries_.clear();
      }
      break;
    case Key::kEnter:
      take(flow);
      break;
    case Key::kEscape:
      entries_.clear();
      break;
    case Key::kCharacter:
      if ((press.character >= U'0' && press.character <= U'9') || press.character == U'.' ||
          press.character == U'-') {
        typed_ += static_cast<char>(press.character);
      }
      break;
    default:
      break;
  }
}

void CutEditor::act(const Input& input, show::RingOut& flow) {
  for (const Press& one : input.presses) {
    if (!entries_.empty()) {
      press(one, flow);
    }
  }
}

/// A graphic's faders have names, and no Q.
std::string CutEditor::value_words(CutField field, cuts::Target::Kind kind) const {
  cuts::Band cut = entries_[at_].cut;
  const double value = value_of(cut, field);
  if (field == field_ && !typed_.empty()) {
    return typed_ + "_";
  }
  if (kind == cuts::Target::Kind::kGraphic && field != CutField::kDepth &&
      !cuts::is_high_pass(cut)) {
    return field == CutField::kQ ? "\u2013" : show::band_name(value);
  }
  return field == CutField::kCentre && value >= 100.0 ? fmt::format("{:.0f}", value)
                                                      : fmt::format("{:.3g}", value);
}

void CutEditor::draw_value(const Rect& area,
                           CutField field,
                           cuts::Target::Kind kind,
                           const Theme& theme) const {
  const bool is_here = field == field_;
  if (is_here) {
    draw_card(area, theme, colour::kGrid);
  }
  draw_text(theme.small,
            area.middle_x(),
            area.top + theme.px(8.0F),
            is_here ? colour::kText : colour::kQuiet,
            field_name(field, kind),
            Align::kMiddle);
  draw_text(theme.title,
            area.middle_x(),
            area.top + theme.px(30.0F),
            is_here ? colour::kYellow : colour::kText,
            value_words(field, kind),
            Align::kMiddle);
}

void CutEditor::draw(const Rect& area, Context& context, show::RingOut& flow) {
  if (context.view.overlay == Overlay::kNone && !is_fresh_) {
    act(context.input, flow);
  }
  is_fresh_ = false;
  if (entries_.empty()) {
    return;
  }
  context.view.is_typing = true;
  Actions& actions = context.actions;
  actions.show("\u2190\u2192", "which");
  actions.show("\u2191\u2193", "step");
  actions.show("0-9", "type");
  actions.show("Enter", entries_[at_].ring ? "log this cut" : "change it");
  if (!entries_[at_].ring) {
    actions.show("Del", "take it out");
  }
  if (entries_.size() > 1) {
    actions.show("Tab", "next cut");
  }
  actions.show("Esc", "as it was");
  const Theme& theme = context.theme;
  draw_card(area, theme, colour::kCardLit);
  Rect inner = area.inset(theme.px(16.0F));
  const Rect head = inner.take_top(theme.px(32.0F));
  draw_text(theme.title, head.left, head.top, colour::kText, "Edit the cut");
  draw_text(theme.body,
            head.right,
            head.top + theme.px(4.0F),
            colour::kQuiet,
            entries_.size() > 1
                ? fmt::format("{}, {} of {}", entries_[at_].about, at_ + 1, entries_.size())
                : entries_[at_].about,
            Align::kRight);
  Rect values = inner.take_top(theme.px(66.0F));
  const float width = values.width() / 3.0F;
  for (const CutField field : kFields) {
    draw_value(values.take_left(width), field, flow.target().kind, theme);
  }
}

}  // namespace brink::panel
