#include "panel/recording/recording_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "base/printable.h"
#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "report/analysis/analysis_text.h"
#include "show/cut_words.h"

namespace brink::panel {
namespace {

constexpr float kRowHeight = 104.0F;
constexpr float kBox = 18.0F;
constexpr float kGap = 6.0F;
constexpr float kLineHeight = 22.0F;

/// The rings that a cut is for, each place once: a ring may have come back.
std::string served_words(const std::vector<int>& for_rings, const RecordingRings& rings) {
  std::vector<std::string> places;
  for (const int index : for_rings) {
    const double ring_hz = rings.rings()[static_cast<std::size_t>(index)].ring.frequency_hz;
    std::string place = base::frequency_label(ring_hz);
    if (std::find(places.begin(), places.end(), place) == places.end()) {
      places.push_back(std::move(place));
    }
  }
  return places.empty() ? "" : fmt::format("for {}", fmt::join(places, ", "));
}

struct CutLine {
  std::string cut;
  std::string served = {};
};

std::vector<CutLine> cut_lines(const RecordingRings& rings, bool hides_answers) {
  if (!rings.is_fitted()) {
    return {{"..."}};
  }
  if (hides_answers) {
    return {{fmt::format("{}, hidden", rings.shared().size())}};
  }
  std::vector<CutLine> lines;
  for (const cuts::Move& move : rings.shared()) {
    lines.push_back({show::cut_words(cuts::to_band(move.cut), rings.kind()),
                     served_words(move.for_rings, rings)});
  }
  if (lines.empty()) {
    lines.push_back({rings.rings().empty() ? "none needed" : kNoCutHelps});
  }
  return lines;
}

/// "For all 5 places, on ..."
std::string head_words(const RecordingRings& rings, const std::string& target_name) {
  std::size_t ticked = 0;
  for (std::size_t i = 0; i < rings.rows().size(); ++i) {
    ticked += rings.is_ticked(i) ? 1U : 0U;
  }
  const std::string which = ticked == rings.rows().size()
                                ? std::string("For the whole file")
                                : fmt::format("For {} of {} ticked", ticked, rings.rows().size());
  return fmt::format("{}, on {}", which, base::printable(target_name));
}

std::vector<CutLine> two_in_a_line(const std::vector<CutLine>& lines) {
  std::vector<CutLine> pairs;
  for (std::size_t i = 0; i < lines.size(); i += 2) {
    pairs.push_back({lines[i].cut, i + 1 < lines.size() ? lines[i + 1].cut : std::string()});
  }
  return pairs;
}

Rect box_of(const Rect& row, const Theme& theme) {
  const float left = row.left + theme.px(14.0F);
  const float top = row.top + theme.px(11.0F);
  return {left, top, left + theme.px(kBox), top + theme.px(kBox)};
}

void draw_box(const Rect& box, bool is_ticked, const Theme& theme) {
  canvas().AddRect(ImVec2(box.left, box.top),
                   ImVec2(box.right, box.bottom),
                   is_ticked ? colour::kText : colour::kQuiet,
                   theme.px(3.0F),
                   0,
                   theme.px(1.5F));
  if (is_ticked) {
    const Rect in = box.inset(theme.px(4.0F));
    canvas().AddLine(ImVec2(in.left, in.middle_y()),
                     ImVec2(in.left + 0.4F * in.width(), in.bottom),
                     colour::kGreen,
                     theme.px(2.5F));
    canvas().AddLine(ImVec2(in.left + 0.4F * in.width(), in.bottom),
                     ImVec2(in.right, in.top),
                     colour::kGreen,
                     theme.px(2.5F));
  }
}

/// "under it: 1.02 kHz, 1.64 kHz"; empty when nothing is.
std::string folded_words(const listen::PlaceRow& row, const RecordingRings& rings) {
  std::vector<std::string> places;
  for (const listen::FoldedPlace& folded : row.folded) {
    places.push_back(base::frequency_label(rings.rings()[folded.place.loudest].ring.frequency_hz));
  }
  return places.empty() ? "" : fmt::format("under it: {}", fmt::join(places, ", "));
}

void draw_row(const Rect& area,
              const RecordingRings& rings,
              std::size_t index,
              const RowsShown& shown,
              const Theme& theme) {
  const listen::PlaceRow& row = rings.rows()[index];
  const listen::FoundRing& found = rings.loudest(index);
  const detector::Ring& ring = found.ring;
  const bool is_selected = static_cast<int>(index) == shown.selected;
  const bool is_ticked = rings.is_ticked(index);
  const ImU32 colour = is_ticked ? colour::kText : colour::kQuiet;
  draw_card(area, theme, is_selected ? colour::kCardLit : colour::kCard);
  if (is_selected) {
    canvas().AddRect(ImVec2(area.left, area.top),
                     ImVec2(area.right, area.bottom),
                     colour::kYellow,
                     theme.px(6.0F),
                     0,
                     theme.px(1.5F));
  }
  draw_box(box_of(area, theme), is_ticked, theme);
  const float left = area.left + theme.px(16.0F);
  const float right = area.right - theme.px(14.0F);
  const float name_left = left + theme.px(26.0F);
  const float top = area.top + theme.px(7.0F);
  const float name =
      draw_text(theme.title,
                name_left,
                top,
                colour,
                shown.hides_answers ? "? Hz" : base::frequency_label(ring.frequency_hz));
  if (!shown.hides_answers) {
    draw_text(theme.body,
              name_left + name + theme.px(12.0F),
              top + theme.px(5.0F),
              colour::kQuiet,
              base::note_name(ring.frequency_hz));
  }
  draw_text(theme.strong,
            right,
            top + theme.px(3.0F),
            colour,
            fmt::format("{}at {}",
                        row.place.rings.size() > 1 ? "loudest " : "",
                        place_words(static_cast<double>(ring.onset_sample) / shown.sample_rate_hz)),
            Align::kRight);
  draw_text(theme.body,
            left,
            top + theme.px(28.0F),
            colour,
            shortened(theme.body, report::danger_text(row.danger), right - left));
  const float facts = draw_text(theme.body,
                                left,
                                top + theme.px(49.0F),
                                colour::kQuiet,
                                fmt::format("{}, {:.1f} dBFS, {:.0f} % sure, channel {}",
                                            growth_words(ring.growth_db_per_s),
                                            ring.peak_dbfs,
                                            100.0 * ring.confidence,
                                            found.channel));
  const std::string note = shown.note ? shown.note(index) : std::string();
  draw_text(theme.body,
            right,
            top + theme.px(49.0F),
            colour::kSky,
            shortened(theme.body, base::printable(note), right - left - facts - theme.px(14.0F)),
            Align::kRight);
  if (shown.hides_answers) {
    return;
  }
  const std::string cuts =
      rings.is_fitted() ? cut_words(rings.cuts(index), rings.kind()) : std::string("...");
  const float cut = draw_text(theme.strong, left, top + theme.px(70.0F), colour, cuts);
  draw_text(theme.small,
            right,
            top + theme.px(72.0F),
            colour::kQuiet,
            shortened(theme.small, folded_words(row, rings), right - left - cut - theme.px(14.0F)),
            Align::kRight);
}

}  // namespace

std::optional<RowClick> draw_recording_rows(const Rect& area,
                                            const RecordingRings& rings,
                                            const RowsShown& shown_with,
                                            const Actions& actions,
                                            const Theme& theme) {
  Rect rest = area;
  const int count = static_cast<int>(rings.rows().size());
  const int selected = shown_with.selected;
  if (count == 0) {
    draw_text(theme.title, rest.left, rest.top, colour::kText, "Nothing rang");
    return std::nullopt;
  }
  const float pitch = theme.px(kRowHeight + kGap);
  int shown = std::max(static_cast<int>((rest.height() + theme.px(kGap)) / pitch), 1);
  std::optional<float> foot_top;
  if (shown < count) {
    const Rect foot = rest.take_bottom(theme.px(kLineHeight));
    shown = std::max(static_cast<int>((rest.height() + theme.px(kGap)) / pitch), 1);
    foot_top = foot.top;
  }
  const int first = std::clamp(selected - shown / 2, 0, std::max(count - shown, 0));
  const int below = count - first - shown;
  if (foot_top) {
    draw_text(theme.body,
              rest.left,
              *foot_top,
              colour::kText,
              fmt::format("place {} of {}", selected + 1, count));
    draw_text(theme.strong,
              rest.right,
              *foot_top,
              colour::kText,
              fmt::format("{}{}{}",
                          first > 0 ? fmt::format("\u2191 {} more", first) : "",
                          first > 0 && below > 0 ? "   " : "",
                          below > 0 ? fmt::format("\u2193 {} more", below) : ""),
              Align::kRight);
  }
  std::optional<RowClick> click;
  for (int i = first; i < std::min(first + shown, count); ++i) {
    const Rect row = rest.take_top(theme.px(kRowHeight));
    draw_row(row, rings, static_cast<std::size_t>(i), shown_with, theme);
    if (actions.is_clicked(row)) {
      click = RowClick{i, actions.is_clicked(box_of(row, theme))};
    }
    rest.take_top(theme.px(kGap));
  }
  return click;
}

Rect draw_recording_cuts(const Rect& area,
                         const RecordingRings& rings,
                         const std::string& target_name,
                         bool hides_answers,
                         const Theme& theme) {
  std::vector<CutLine> lines = cut_lines(rings, hides_answers);
  Rect rest = area;
  // All that is to be set is shown, as long as one row of rings is left. Many cuts stand two in a
  // line.
  const float for_lines =
      area.height() - theme.px(kRowHeight + kGap + kLineHeight + 30.0F) - theme.px(kLineHeight);
  const bool tells_heard = rings.is_fitted() && !hides_answers && !rings.shared().empty();
  const std::size_t most =
      static_cast<std::size_t>(std::max(for_lines / theme.px(kLineHeight), 1.0F)) -
      (tells_heard && for_lines > 2.0F * theme.px(kLineHeight) ? 1U : 0U);
  if (lines.size() > most) {
    lines = two_in_a_line(lines);
  }
  if (lines.size() > most) {
    const std::size_t more = lines.size() - most + 1;
    lines.resize(most - 1);
    lines.push_back({fmt::format("{} more lines: a larger window shows them", more)});
  }
  if (tells_heard) {
    lines.push_back({show::audible_words(rings.shared_setting())});
  }
  const float height =
      theme.px(kLineHeight) * static_cast<float>(lines.size() + 1) + theme.px(22.0F);
  const Rect card = rest.take_bottom(height);
  rest.take_bottom(theme.px(8.0F));
  draw_card(card, theme);
  Rect inner = card.inset(theme.px(10.0F));
  inner.left += theme.px(6.0F);
  const Rect head = inner.take_top(theme.px(kLineHeight + 2.0F));
  draw_text(theme.strong,
            head.left,
            head.top,
            colour::kText,
            shortened(theme.strong, head_words(rings, target_name), head.width()));
  for (const CutLine& line : lines) {
    Rect row = inner.take_top(theme.px(kLineHeight));
    row.take_left(draw_text(theme.body, row.left, row.top, colour::kText, line.cut) +
                  theme.px(16.0F));
    draw_text(theme.body,
              row.right,
              row.top,
              colour::kQuiet,
              shortened(theme.body, line.served, row.width()),
              Align::kRight);
  }
  return rest;
}

}  // namespace brink::panel
