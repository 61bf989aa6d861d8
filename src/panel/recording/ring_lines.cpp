#include "panel/recording/ring_lines.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <utility>
#include <vector>

#include "panel/draw/draw.h"

namespace brink::panel {
namespace {

/// More marks than these hide each other, and each costs a software renderer 20 KB in a pass.
constexpr std::size_t kMostMarked = 300;

void draw_marked(const RingLine& line, bool is_selected, const Theme& theme) {
  const float width = theme.px(is_selected ? 4.0F : 2.0F);
  canvas().AddLine(
      ImVec2(line.onset, line.y), ImVec2(line.flagged, line.y), colour::kOrange, width);
  canvas().AddLine(ImVec2(line.flagged, line.y),
                   ImVec2(std::max(line.ended, line.flagged + theme.px(3.0F)), line.y),
                   colour::kVermilion,
                   width);
  const float size = theme.px(is_selected ? 7.0F : 5.0F);
  draw_state_mark(line.onset, line.y, 0.8F * size, detector::RingState::kBuilding);
  draw_state_mark(line.flagged, line.y, size, detector::RingState::kRinging);
  if (line.is_over) {
    draw_state_mark(line.ended, line.y, 0.8F * size, detector::RingState::kGone);
  }
}

/// A thin line without marks.
void draw_folded(const RingLine& line) {
  canvas().AddLine(ImVec2(line.onset, line.y),
                   ImVec2(std::max(line.ended, line.onset + 1.0F), line.y),
                   with_alpha(colour::kOrange, 0.7F));
}

void draw_one(const RingLine& line, RingLook look, const Theme& theme) {
  if (look == RingLook::kFolded) {
    draw_folded(line);
    return;
  }
  if (look == RingLook::kSelected) {
    canvas().AddLine(
        ImVec2(line.onset, line.strip_top), ImVec2(line.onset, line.strip_bottom), colour::kYellow);
  }
  draw_marked(line, look == RingLook::kSelected, theme);
}

/// In each narrow row of the plot, lines that lie close to each other are one bar.
void draw_many(const Rect& plot, std::vector<RingLine> lines, RingLook look, const Theme& theme) {
  const float cell = theme.px(4.0F);  // height of a row, and the least length of a bar
  const float gap = theme.px(8.0F);   // less than a mark takes
  const auto row_of = [&](const RingLine& line) { return std::floor((line.y - plot.top) / cell); };
  std::sort(lines.begin(), lines.end(), [&](const RingLine& a, const RingLine& b) {
    return std::pair(row_of(a), a.onset) < std::pair(row_of(b), b.onset);
  });
  const ImU32 colour = look == RingLook::kFolded     ? with_alpha(colour::kOrange, 0.7F)
                       : look == RingLook::kSelected ? colour::kYellow
                                                     : colour::kVermilion;
  const float half = theme.px(look == RingLook::kFolded ? 0.5F : 1.5F);
  for (auto line = lines.begin(); line != lines.end();) {
    const RingLine& first = *line;
    float end = first.onset;
    for (; line != lines.end() && row_of(*line) == row_of(first) && line->onset <= end + gap;
         ++line) {
      end = std::max({end, line->ended, line->onset + cell});
    }
    canvas().AddRectFilled(
        ImVec2(first.onset, first.y - half), ImVec2(end, first.y + half), colour);
  }
}

}  // namespace

RingLine line_of(const PlotScale& scale,
                 const listen::Analysis& analysis,
                 const listen::FoundRing& found) {
  const detector::Ring& ring = found.ring;
  const bool is_over = ring.ended_sample != detector::kNever;
  const auto x_of = [&](std::int64_t sample) { return scale.x_of(static_cast<double>(sample)); };
  const Rect strip = scale.strip(found.channel);
  return {x_of(ring.onset_sample),
          x_of(ring.flagged_sample),
          x_of(is_over ? ring.ended_sample : analysis.samples),
          scale.y_of(ring.frequency_hz, found.channel),
          strip.top,
          strip.bottom,
          is_over};
}

void draw_rings(const Rect& plot,
                std::span<const RingLine> lines,
                RingLook look,
                const Theme& theme) {
  const float margin = theme.px(10.0F);  // a mark is wider than its place
  std::vector<RingLine> seen;
  std::copy_if(lines.begin(), lines.end(), std::back_inserter(seen), [&](const RingLine& line) {
    return line.ended >= plot.left - margin && line.onset <= plot.right + margin;
  });
  if (seen.size() > kMostMarked) {
    draw_many(plot, std::move(seen), look, theme);
    return;
  }
  for (const RingLine& line : seen) {
    draw_one(line, look, theme);
  }
}

}  // namespace brink::panel
