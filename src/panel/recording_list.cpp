#include "panel/recording_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <vector>

#include "core/units.h"
#include "panel/draw.h"
#include "panel/words.h"

namespace brink::panel {
namespace {

constexpr float kRowHeight = 84.0F;
constexpr float kGap = 6.0F;
constexpr float kLineHeight = 22.0F;

std::string cut_line(const cuts::Cut& cut) {
  const std::array<cuts::Cut, 1> one{cut};
  return cut_words(one);
}

void draw_row(const Rect& area,
              const app::FoundRing& found,
              const std::string& cuts,
              double sample_rate_hz,
              bool is_selected,
              bool hides_answers,
              const Theme& theme) {
  const core::Ring& ring = found.ring;
  draw_card(area, theme, is_selected ? colour::kCardLit : colour::kCard);
  if (is_selected) {
    canvas().AddRect(ImVec2(area.left, area.top),
                     ImVec2(area.right, area.bottom),
                     colour::kYellow,
                     theme.px(6.0F),
                     0,
                     theme.px(1.5F));
  }
  const float left = area.left + theme.px(16.0F);
  const float right = area.right - theme.px(14.0F);
  const float top = area.top + theme.px(7.0F);
  draw_state_mark(left + theme.px(5.0F),
                  top + 0.5F * theme.title->FontSize,
                  theme.px(6.0F),
                  core::RingState::kRinging);
  const float name = draw_text(theme.title,
                               left + theme.px(22.0F),
                               top,
                               colour::kText,
                               hides_answers ? "? Hz" : core::frequency_label(ring.frequency_hz));
  if (!hides_answers) {
    draw_text(theme.body,
              left + theme.px(36.0F) + name,
              top + theme.px(5.0F),
              colour::kQuiet,
              core::note_name(ring.frequency_hz));
  }
  draw_text(theme.strong,
            right,
            top + theme.px(3.0F),
            colour::kText,
            "at " + place_words(static_cast<double>(ring.onset_sample) / sample_rate_hz),
            Align::kRight);
  draw_text(theme.body,
            left,
            top + theme.px(28.0F),
            colour::kQuiet,
            fmt::format("{}, peak {:.0f} dBFS, {:.0f} % sure, channel {}",
                        growth_words(ring.growth_db_per_s),
                        ring.peak_dbfs,
                        100.0 * ring.confidence,
                        found.channel));
  draw_text(theme.strong, left, top + theme.px(50.0F), colour::kText, hides_answers ? "" : cuts);
}

}  // namespace

void draw_recording_rows(const Rect& area,
                         const RecordingRings& rings,
                         double sample_rate_hz,
                         int selected,
                         bool hides_answers,
                         const Theme& theme) {
  Rect rest = area;
  const int count = static_cast<int>(rings.rings().size());
  if (count == 0) {
    draw_text(theme.title, rest.left, rest.top, colour::kText, "Nothing rang");
    return;
  }
  const float pitch = theme.px(kRowHeight + kGap);
  int shown = std::max(static_cast<int>((rest.height() + theme.px(kGap)) / pitch), 1);
  if (shown < count) {
    const Rect foot = rest.take_bottom(theme.px(kLineHeight));
    shown = std::max(static_cast<int>((rest.height() + theme.px(kGap)) / pitch), 1);
    draw_text(theme.body,
              foot.left,
              foot.top,
              colour::kQuiet,
              fmt::format("ring {} of {}", selected + 1, count));
  }
  const int first = std::clamp(selected - shown / 2, 0, std::max(count - shown, 0));
  for (int i = first; i < std::min(first + shown, count); ++i) {
    const auto index = static_cast<std::size_t>(i);
    draw_row(rest.take_top(theme.px(kRowHeight)),
             rings.rings()[index],
             rings.is_fitted() ? cut_words(rings.cuts(index)) : std::string("..."),
             sample_rate_hz,
             i == selected,
             hides_answers,
             theme);
    rest.take_top(theme.px(kGap));
  }
}

Rect draw_recording_cuts(const Rect& area,
                         const RecordingRings& rings,
                         const std::string& target_name,
                         bool hides_answers,
                         const Theme& theme) {
  std::vector<std::string> lines;
  if (!rings.is_fitted()) {
    lines.emplace_back("...");
  } else if (hides_answers) {
    lines.push_back(fmt::format("{}, hidden", rings.shared().cuts.size()));
  } else {
    if (rings.shared().high_pass.corner_hz > 0.0) {
      lines.push_back("high-pass " + core::frequency_label(rings.shared().high_pass.corner_hz));
    }
    std::transform(rings.shared().cuts.begin(),
                   rings.shared().cuts.end(),
                   std::back_inserter(lines),
                   cut_line);
    if (lines.empty()) {
      lines.emplace_back(rings.rings().empty() ? "none needed" : "none that helps on this target");
    }
  }
  Rect rest = area;
  // Less than half of the height; the rows are what one looks at.
  const auto most = static_cast<std::size_t>(
      std::max(0.45F * area.height() / theme.px(kLineHeight) - 2.0F, 1.0F));
  if (lines.size() > most) {
    const std::size_t more = lines.size() - most + 1;
    lines.resize(most - 1);
    lines.push_back(fmt::format("and {} more", more));
  }
  const float height =
      theme.px(kLineHeight) * static_cast<float>(lines.size() + 1) + theme.px(22.0F);
  const Rect card = rest.take_bottom(height);
  rest.take_bottom(theme.px(8.0F));
  draw_card(card, theme);
  Rect inner = card.inset(theme.px(10.0F));
  inner.left += theme.px(6.0F);
  const Rect head = inner.take_top(theme.px(kLineHeight + 2.0F));
  draw_text(
      theme.strong, head.left, head.top, colour::kText, "For the whole file, on " + target_name);
  for (const std::string& line : lines) {
    const Rect row = inner.take_top(theme.px(kLineHeight));
    draw_text(theme.body, row.left, row.top, colour::kText, line);
  }
  return rest;
}

}  // namespace brink::panel
