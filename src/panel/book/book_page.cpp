#include "panel/book/book_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "base/time_of_day.h"
#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/draw/words.h"
#include "panel/plots/frequency_axis.h"
#include "show/cut_words.h"
#include "show/gain_won.h"
#include "show/kept_target.h"
#include "show/last_check.h"

namespace brink::panel {
namespace {

constexpr float kCurveHeight = 150.0F;
constexpr float kNamesHeight = 20.0F;
constexpr float kLineHeight = 25.0F;
constexpr float kScaleWidth = 40.0F;
constexpr double kDeepestDb = -24.0;
constexpr float kStepPx = 3.0F;
constexpr std::size_t kMostMarkLines = 7;  // so many fit below the first

constexpr std::array<const char*, 5> kColumns{"ring", "dB/s", "cut", "rang at", "then"};
/// Start of each column, as a share of the width.
constexpr std::array<float, 5> kPlaces{0.04F, 0.285F, 0.36F, 0.61F, 0.705F};

std::string target_name(const std::string& text) {
  try {
    return base::printable(show::to_target(text).name);
  } catch (const base::Error&) {
    return "a target that cannot be read";
  }
}

void add_if(std::vector<std::string>& lines, const char* label, const std::string& text) {
  if (!text.empty()) {
    lines.push_back(fmt::format("{}: {}", label, base::printable(text)));
  }
}

/// A fader position, "+3.5"; a dash when it was not noted.
std::string fader_words(const std::optional<double>& at_db) {
  return at_db ? fmt::format("{:+.1f}", *at_db) : "\u2013";
}

std::vector<std::string> fields_of(const show::RoundRecord& round, cuts::Target::Kind kind) {
  const show::RingRecord& ring = round.ring;
  const bool is_known = ring.frequency_hz > 0.0;
  return {is_known ? fmt::format("{}  {}",
                                 base::frequency_label(ring.frequency_hz),
                                 base::note_name(ring.frequency_hz))
                   : "not known",
          fmt::format("{:+.0f}", ring.growth_db_per_s),
          round.cut ? show::cut_words(*round.cut, kind) : "not cut",
          fader_words(round.rang_at_db),
          outcome_words(round)};
}

std::string dismissal_words(std::span<const show::DismissalRecord> dismissals) {
  std::string words;
  for (const show::DismissalRecord& one : dismissals) {
    words += fmt::format("{}{}{}",
                         words.empty() ? "" : ", ",
                         base::frequency_label(one.frequency_hz),
                         one.reason.empty() ? "" : " (" + one.reason + ")");
  }
  return words;
}

/// A round in which nothing rang: the loop was measured.
std::string sweep_words(const show::SweepRecord& sweep) {
  std::string words = fmt::format("Sweep, {}: ", base::printable(base::short_time(sweep.made_at)));
  words += sweep.rings.empty()
               ? "nothing of the loop can ring"
               : fmt::format("first ring at {} after {:.1f} dB",
                             base::frequency_label(sweep.rings.front().frequency_hz),
                             sweep.stable_gain_db);
  return words +
         fmt::format("; {} cuts planned, to win {:.1f} dB.", sweep.cuts.size(), sweep.won_least_db);
}

std::string end_words(const show::OutputRecord& output) {
  if (!output.is_ended) {
    return "Not ended yet: no margin was taken.";
  }
  if (!show::has_rung(output)) {
    return output.tried_to_db
               ? fmt::format("Nothing rang, tried up to {:+.1f} dB: no margin is known.",
                             *output.tried_to_db)
               : std::string("Nothing rang: no margin is known.");
  }
  return output.back_off_db ? fmt::format("Backed off by {:.1f} dB.", *output.back_off_db)
                            : std::string("Ended without a margin.");
}

}  // namespace

std::string outcome_words(const show::RoundRecord& round) {
  if (!round.cut) {
    return "\u2013";
  }
  return round.returned_at_db ? came_back_words(show::won_db(round))
         : round.has_faded    ? "faded"
                              : "not seen to fade";
}

void BookPage::open(const show::ShowRecord& show,
                    std::size_t output_index,
                    std::vector<std::string> compared) {
  *this = {};
  compared_ = std::move(compared);
  const show::OutputRecord& output = show.outputs.at(output_index);
  heading_ = fmt::format(
      "{} ({} of {})", base::printable(output.name), output_index + 1, show.outputs.size());
  add_if(about_, "Microphone", output.microphone);
  add_if(about_, "Position", output.position);
  about_.push_back("Cuts for: " + target_name(output.target));
  const cuts::Target::Kind kind = show::kept_kind(output.target);
  setting_ = cuts::to_setting(output.cuts);
  for (const cuts::Band& cut : output.cuts) {
    cuts_.push_back(show::cut_words(cut, kind));
  }
  for (const show::RoundRecord& round : output.rounds) {
    rounds_.push_back({round.ring.frequency_hz, fields_of(round, kind)});
  }
  for (const show::SweepRecord& sweep : output.sweeps) {
    notes_.push_back(sweep_words(sweep));
  }
  if (const auto won = show::gain_won_db(output)) {
    notes_.push_back(fmt::format("Stable gain won: {:+.1f} dB.", *won));
  }
  notes_.push_back(end_words(output));
  add_if(notes_, "Advice", output.advice);
  add_if(notes_, "Note", output.note);
  add_if(notes_, "Not a ring, in this show", dismissal_words(show.dismissals));
  add_if(notes_, "All outputs open", show.check ? show::check_words(*show.check) : "");
  add_if(notes_, "The show", show.note);
}

void BookPage::draw_curve(const Rect& area, const Theme& theme) const {
  Rect plot = area;
  const Rect names = plot.take_bottom(theme.px(kNamesHeight));
  plot.take_left(theme.px(kScaleWidth));
  const FrequencyAxis axis{plot.left, plot.right};
  canvas().AddRectFilled(
      ImVec2(plot.left, plot.top), ImVec2(plot.right, plot.bottom), colour::kPlot);
  draw_octave_lines(axis, plot);
  draw_octave_names(axis, names.top + theme.px(3.0F), theme);
  const float zero_y = plot.top + theme.px(36.0F);
  const auto y_of = [&](double level_db) {
    const double share = std::clamp(level_db / kDeepestDb, 0.0, 1.0);
    return zero_y + (plot.bottom - zero_y) * static_cast<float>(share);
  };
  for (const int level : {0, -6, -12, -18}) {
    canvas().AddLine(
        ImVec2(plot.left, y_of(level)), ImVec2(plot.right, y_of(level)), colour::kGrid);
    draw_text(theme.small,
              plot.left - theme.px(8.0F),
              y_of(level) - 0.5F * theme.small->FontSize,
              colour::kQuiet,
              fmt::format("{}", level),
              Align::kRight);
  }
  static std::vector<ImVec2> points;
  points.clear();
  const int steps = static_cast<int>(plot.width() / kStepPx);
  for (int step = 0; step <= steps; ++step) {
    const float x = plot.left + kStepPx * static_cast<float>(step);
    const double gain = std::abs(cuts::response(setting_, axis.hz_at(x), kSampleRateHz));
    points.emplace_back(x, y_of(base::amplitude_to_db(gain)));
  }
  canvas().AddPolyline(points.data(),
                       static_cast<int>(points.size()),
                       colour::kGreen,
                       ImDrawFlags_None,
                       theme.px(2.5F));
  draw_marks(axis, plot, theme);
}

/// The number of each ring, in the first line where no earlier one stands. Where so many meet that
/// no line is free, the last of them takes the number too: "8, 9, 10".
void BookPage::draw_marks(const FrequencyAxis& axis, const Rect& plot, const Theme& theme) const {
  struct Mark {
    std::size_t line = 0;
    float x = 0.0F;
    std::string numbers;
  };

  std::vector<Mark> marks;
  for (std::size_t i = 0; i < rounds_.size(); ++i) {
    if (rounds_[i].ring_hz <= 0.0) {
      continue;
    }
    Mark mark{0, axis.x_of(rounds_[i].ring_hz), fmt::format("{}", i + 1)};
    const auto width = [&](const Mark& of) {
      return theme.px(18.0F) + text_width(theme.small, of.numbers);
    };
    const auto is_in_the_way = [&](const Mark& other) {
      return other.line == mark.line && other.x < mark.x + width(mark) &&
             mark.x < other.x + width(other);
    };
    auto other = marks.end();
    while ((other = std::find_if(marks.begin(), marks.end(), is_in_the_way)) != marks.end() &&
           mark.line < kMostMarkLines) {
      ++mark.line;
    }
    if (other == marks.end()) {
      marks.push_back(std::move(mark));
    } else {
      other->numbers += ", " + mark.numbers;
    }
  }
  for (const Mark& mark : marks) {
    const float y = plot.top + theme.px(9.0F + 14.0F * static_cast<float>(mark.line));
    draw_state_mark(mark.x, y, theme.px(5.0F), detector::RingState::kRinging);
    draw_text(theme.small,
              mark.x + theme.px(9.0F),
              y - 0.5F * theme.small->FontSize,
              colour::kText,
              mark.numbers);
  }
}

/// Draws the cuts one after the other; no cut is broken over two lines.
float BookPage::draw_cuts(const Rect& area, const Theme& theme) const {
  if (cuts_.empty()) {
    draw_text(theme.body, area.left, area.top, colour::kQuiet, "Nothing is cut.");
    return theme.px(kLineHeight);
  }
  float x = area.left;
  float y = area.top;
  for (const std::string& cut : cuts_) {
    const float width = text_width(theme.strong, cut);
    if (x > area.left && x + width > area.right) {
      x = area.left;
      y += theme.px(kLineHeight);
    }
    draw_text(theme.strong, x, y, colour::kGreen, cut);
    x += width + theme.px(26.0F);
  }
  return y + theme.px(kLineHeight) - area.top;
}

float BookPage::draw_rounds(const Rect& area, const Theme& theme) const {
  Rect rest = area;
  const auto x_of = [&](std::size_t column) {
    return area.left + kPlaces.at(column) * area.width();
  };
  const Rect head = rest.take_top(theme.px(kLineHeight));
  for (std::size_t column = 0; column < kColumns.size(); ++column) {
    draw_text(theme.small, x_of(column), head.top, colour::kQuiet, kColumns.at(column));
  }
  for (std::size_t i = 0; i < rounds_.size(); ++i) {
    const Rect row = rest.take_top(theme.px(kLineHeight));
    draw_text(theme.strong, row.left, row.top, colour::kVermilion, fmt::format("{}", i + 1));
    for (std::size_t column = 0; column < kColumns.size(); ++column) {
      const float end =
          column + 1 < kColumns.size() ? x_of(column + 1) - theme.px(6.0F) : row.right;
      draw_text(theme.body,
                x_of(column),
                row.top,
                colour::kText,
                shortened(theme.body, rounds_[i].fields.at(column), end - x_of(column)));
    }
  }
  if (rounds_.empty()) {
    draw_text(theme.body, rest.left, rest.top, colour::kQuiet, "No round was logged.");
    rest.take_top(theme.px(kLineHeight));
  }
  return rest.top - area.top;
}

float BookPage::draw(const Rect& area, float scroll, const Theme& theme) const {
  const Clip clip(area);
  Rect rest{area.left, area.top - scroll, area.right, area.bottom + 1e6F};
  const float start = rest.top;
  const auto write = [&](ImFont* font, ImU32 paint, const std::string& line) {
    rest.take_top(draw_wrapped(font, rest.left, rest.top, rest.width(), paint, line) +
                  theme.px(5.0F));
  };
  write(theme.title, colour::kText, heading_);
  std::string about;
  for (const std::string& line : about_) {
    about += (about.empty() ? "" : ".  ") + line;
  }
  write(theme.body, colour::kQuiet, about);
  rest.take_top(theme.px(4.0F));
  draw_curve(rest.take_top(theme.px(kCurveHeight)), theme);
  rest.take_top(theme.px(6.0F));
  rest.take_top(draw_cuts(rest, theme));
  for (const std::string& line : compared_) {
    write(theme.body, colour::kText, line);
  }
  if (compared_.empty()) {
    rest.take_top(draw_rounds(rest, theme));
  }
  rest.take_top(theme.px(8.0F));
  for (const std::string& line : notes_) {
    write(theme.body, colour::kText, line);
  }
  return rest.top - start;
}

}  // namespace brink::panel
