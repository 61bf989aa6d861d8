#include "panel/plots/tap_row.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "base/printable.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"

namespace brink::panel {
namespace {

constexpr double kLowestDbfs = -60.0;
constexpr float kCellHeight = 34.0F;
constexpr float kWordsHeight = 20.0F;
constexpr float kGap = 3.0F;

/// The loudest ring that the tap carries, as its tracks have it; nullptr: none.
const detector::TrackView* loudest_ring(const listen::TapSnapshot& tap) {
  const detector::TrackView* loudest = nullptr;
  for (const detector::TrackView& track : tap.tracks) {
    if (track.ring_id != 0 && (loudest == nullptr || track.level_dbfs > loudest->level_dbfs)) {
      loudest = &track;
    }
  }
  return loudest;
}

/// What fits into a cell: "-" silent, "=5" the same sound as channel 5, "!" clipped.
std::string fault_mark(const listen::TapSnapshot& tap) {
  return tap.level.is_silent     ? "-"
         : tap.copy_of != 0      ? fmt::format("={}", tap.copy_of)
         : tap.level.is_clipping ? "!"
                                 : "";
}

void draw_cell(const Rect& cell,
               const listen::TapSnapshot& tap,
               bool is_shown,
               const std::string& name,
               const Theme& theme) {
  canvas().AddRectFilled(ImVec2(cell.left, cell.top),
                         ImVec2(cell.right, cell.bottom),
                         is_shown ? colour::kCardLit : colour::kPlot,
                         theme.px(3.0F));
  const double share = std::clamp(1.0 - tap.level.peak_dbfs / kLowestDbfs, 0.0, 1.0);
  const float bar = theme.px(5.0F);
  canvas().AddRectFilled(ImVec2(cell.left, cell.bottom - bar),
                         ImVec2(cell.left + cell.width() * static_cast<float>(share), cell.bottom),
                         tap.level.is_clipping ? colour::kVermilion : colour::kGreen);
  const float y = cell.top + theme.px(3.0F);
  const float left = cell.left + theme.px(4.0F);
  const std::string mark = fault_mark(tap);
  const ImU32 paint = is_shown ? colour::kText : colour::kQuiet;
  const float number = draw_text(theme.small, left, y, paint, fmt::format("{}", tap.tap));
  const float room = cell.width() - number - theme.px(14.0F) -
                     (mark.empty() ? 0.0F : text_width(theme.small, mark) + theme.px(6.0F));
  if (!name.empty() && room > theme.px(40.0F)) {
    draw_text(theme.small,
              left + number + theme.px(6.0F),
              y,
              paint,
              shortened(theme.small, base::printable(name), room));
  }
  if (!mark.empty() && number + text_width(theme.small, mark) + theme.px(8.0F) < cell.width()) {
    draw_text(theme.small, cell.right - theme.px(4.0F), y, colour::kOrange, mark, Align::kRight);
  }
  if (const detector::TrackView* const ring = loudest_ring(tap)) {
    draw_state_mark(
        cell.middle_x(), cell.bottom - bar - theme.px(7.0F), theme.px(5.0F), ring->state);
  }
}

}  // namespace

std::string faults_of_taps(const listen::Snapshot& snapshot) {
  std::vector<std::string> silent;
  std::vector<std::string> copies;
  std::vector<std::string> clipped;
  for (const listen::TapSnapshot& tap : snapshot.taps) {
    if (tap.level.is_silent) {
      silent.push_back(fmt::format("{}", tap.tap));
    } else if (tap.copy_of != 0) {
      copies.push_back(fmt::format("{} as {}", tap.tap, tap.copy_of));
    }
    if (tap.level.is_clipping) {
      clipped.push_back(fmt::format("{}", tap.tap));
    }
  }
  std::vector<std::string> sentences;
  const auto add = [&](const char* what, const std::vector<std::string>& channels) {
    if (!channels.empty()) {
      sentences.push_back(fmt::format("{}: {}.", what, fmt::join(channels, ", ")));
    }
  };
  add("Silent", silent);
  add("The same sound", copies);
  add("Clipped", clipped);
  return fmt::format("{}", fmt::join(sentences, " "));
}

float tap_row_height(const listen::Snapshot& snapshot, const Theme& theme) {
  return theme.px(kCellHeight + (faults_of_taps(snapshot).empty() ? 0.0F : kWordsHeight));
}

std::optional<std::size_t> draw_tap_row(const Rect& area,
                                        const listen::Snapshot& snapshot,
                                        std::optional<std::size_t> shown,
                                        const show::ChannelNames& names,
                                        const Actions& actions,
                                        const Theme& theme) {
  Rect rest = area;
  if (const std::string words = faults_of_taps(snapshot); !words.empty()) {
    const Rect line = rest.take_bottom(theme.px(kWordsHeight));
    draw_text(theme.small,
              line.left,
              line.top + theme.px(3.0F),
              colour::kOrange,
              shortened(theme.small, words, line.width()));
  }
  const float gap = theme.px(kGap);
  const float step = (rest.width() + gap) / static_cast<float>(snapshot.taps.size());
  std::optional<std::size_t> clicked;
  for (std::size_t t = 0; t < snapshot.taps.size(); ++t) {
    Rect cell = rest;
    cell.left = rest.left + step * static_cast<float>(t);
    cell.right = cell.left + step - gap;
    draw_cell(
        cell, snapshot.taps[t], shown.value_or(t) == t, names.name(snapshot.taps[t].tap), theme);
    if (actions.is_clicked(cell)) {
      clicked = t;
    }
  }
  return clicked;
}

}  // namespace brink::panel
