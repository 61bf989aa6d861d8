#include "sheet/facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include "base/error.h"
#include "base/units.h"
#include "cuts/band.h"
#include "cuts/filters.h"
#include "cuts/slot.h"
#include "sheet/text.h"
#include "show/gain_won.h"
#include "show/kept_target.h"
#include "show/ring_out/ring_out_advice.h"

namespace brink::sheet {
namespace {

bool is_usable(const cuts::Band& cut) {
  return std::isfinite(cut.centre_hz) && std::isfinite(cut.q) && std::isfinite(cut.depth_db) &&
         cut.centre_hz > 0.0 && cut.q >= 0.0;
}

std::optional<cuts::Target> read_target(const std::string& text) {
  try {
    return show::to_target(text);
  } catch (const base::Error&) {
    return std::nullopt;
  }
}

cuts::Setting to_equaliser(std::vector<cuts::Band> cuts) {
  std::erase_if(cuts, [](const cuts::Band& cut) { return !is_usable(cut); });
  return cuts::to_setting(cuts);
}

/// The nearest of a list when `value` is not just a rounded form of it: consoles show whole Hz,
/// graphics nominal numbers (1.2 % off at most).
std::optional<double> nearest_if_off(std::span<const double> list, double value) {
  if (list.empty()) {
    return std::nullopt;
  }
  const auto at = static_cast<std::size_t>(cuts::nearest_index(list, value));
  const double nearest = list[at];
  double step = 0.02;  // of a list of one, as a ratio
  if (list.size() > 1) {
    step = at + 1 < list.size() ? list[at + 1] / nearest - 1.0 : 1.0 - list[at - 1] / nearest;
  }
  const bool is_off = std::abs(std::log(value / nearest)) > std::min(0.4 * std::log1p(step), 0.02);
  return is_off ? std::optional(nearest) : std::nullopt;
}

/// Depth in whole steps, and in `off` what the depth is that the target cannot be set to.
void place_depth(const cuts::Target& target, SheetCut& sheet_cut, std::vector<std::string>& off) {
  const double depth_db = sheet_cut.cut.depth_db;
  const double steps = -depth_db / target.depth_step_db;
  if (std::abs(steps - std::round(steps)) * target.depth_step_db < 0.02 &&
      std::abs(steps) < 1000.0) {
    sheet_cut.depth_steps = static_cast<int>(std::lround(steps));
  } else {
    off.emplace_back("depth between steps");
  }
  if (depth_db < target.deepest_db - 0.02) {
    off.push_back(fmt::format("no deeper than {}", written_db(target.deepest_db)));
  }
  const double tenths = 10.0 * target.depth_step_db;
  sheet_cut.depth_decimals = std::abs(tenths - std::round(tenths)) < 1e-6 ? 1 : 2;
}

void place_on(const cuts::Target& target, SheetCut& sheet_cut) {
  const cuts::Band& cut = sheet_cut.cut;
  std::vector<std::string> off;
  const auto& centres_hz = sheet_cut.is_high_pass ? target.high_pass_hz : target.centres_hz;
  if (centres_hz.empty()) {
    off.emplace_back("the target has none");
  } else if (const auto nearest_hz = nearest_if_off(centres_hz, cut.centre_hz)) {
    off.push_back(fmt::format("nearest is {}", written_hz(*nearest_hz)));
  }
  if (!sheet_cut.is_high_pass) {
    if (const auto nearest = nearest_if_off(target.qs, cut.q)) {
      off.push_back(fmt::format("nearest Q {}", written_q(*nearest)));
    }
    place_depth(target, sheet_cut, off);
    if (target.kind == cuts::Target::Kind::kGraphic && !centres_hz.empty()) {
      sheet_cut.band = fmt::format(
          "band {} of {}", cuts::nearest_index(centres_hz, cut.centre_hz) + 1, centres_hz.size());
    }
  }
  sheet_cut.off_step = fmt::format("{}", fmt::join(off, "; "));
}

bool reaches(const cuts::Band& cut, double frequency_hz) {
  return cut.q > 0.0 && std::isfinite(frequency_hz) && frequency_hz > 0.0 &&
         std::abs(std::log2(frequency_hz / cut.centre_hz)) <= 0.5 * cuts::q_to_bandwidth(cut.q);
}

std::vector<SheetCut> sheet_cuts(const SheetOutput& output) {
  std::vector<SheetCut> list;
  for (const cuts::Band& cut : output.record->cuts) {
    SheetCut sheet_cut;
    sheet_cut.cut = cut;
    sheet_cut.is_high_pass = cuts::is_high_pass(cut);
    sheet_cut.place =
        sheet_cut.is_high_pass ? written_hz(cut.centre_hz) : output.written_centre(cut.centre_hz);
    if (output.target && is_usable(cut)) {
      place_on(*output.target, sheet_cut);
    }
    for (std::size_t i = 0; i < output.record->rounds.size(); ++i) {
      if (is_usable(cut) && reaches(cut, output.record->rounds[i].ring.frequency_hz)) {
        sheet_cut.rounds.push_back(i);
      }
    }
    list.push_back(std::move(sheet_cut));
  }
  // Values that are not finite come first, because NaN must not be compared.
  const auto key = [](const SheetCut& sheet_cut) {
    return sheet_cut.is_high_pass || !is_usable(sheet_cut.cut) ? 0.0 : sheet_cut.cut.centre_hz;
  };
  std::stable_sort(list.begin(), list.end(), [&](const SheetCut& one, const SheetCut& other) {
    return key(one) < key(other);
  });
  return list;
}

void walk_rounds(SheetOutput& output) {
  const show::OutputRecord& record = *output.record;
  output.edge_db = edge_db(record);
  output.won_db = gain_won_db(record);
  output.leave_at_db = show::leave_at_db(record);
  show::OutputRecord until = record;  // the output after each round in turn
  until.rounds.clear();
  for (const show::RoundRecord& round : record.rounds) {
    until.rounds.push_back(round);
    SheetRound sheet_round;
    if (round.cut) {
      const bool came_later = won_db(round).value_or(0.0) > 0.0;
      sheet_round.state = round.has_faded ? RingState::kFaded
                          : came_later    ? RingState::kCameBack
                                          : RingState::kNotSeenToFade;
    }
    sheet_round.won_db = won_db(round);
    sheet_round.won_so_far_db = gain_won_db(until);
    sheet_round.level_now_db = output.level_db(round.ring.frequency_hz);
    output.rounds.push_back(sheet_round);
  }
}

void find_loudest(SheetOutput& output) {
  double loudest_db = -INFINITY;
  for (std::size_t i = 0; i < output.record->rounds.size(); ++i) {
    const double pressure_db = output.record->rounds[i].ring.laeq_1s_db.value_or(-INFINITY);
    if (pressure_db > loudest_db) {
      loudest_db = pressure_db;
      output.loudest_round = i;
    }
  }
}

void find_deepest(SheetOutput& output) {
  for (const cuts::Cut& cut : output.setting.cuts) {
    const double level_db = output.level_db(cut.centre_hz);
    if (level_db < output.deepest_db) {
      output.deepest_db = level_db;
      output.deepest_hz = cut.centre_hz;
    }
  }
}

}  // namespace

double SheetOutput::level_db(double frequency_hz) const {
  if (!std::isfinite(frequency_hz) || frequency_hz <= 0.0 || frequency_hz >= 0.5 * kSheetRateHz) {
    return 0.0;
  }
  return base::amplitude_to_db(std::abs(cuts::response(setting, frequency_hz, kSheetRateHz)));
}

std::string SheetOutput::written_centre(double centre_hz) const {
  const bool is_graphic = target && target->kind == cuts::Target::Kind::kGraphic;
  return is_graphic ? written_band(centre_hz) : written_hz(centre_hz);
}

SheetOutput sheet_output(const show::OutputRecord& record) {
  SheetOutput output;
  output.record = &record;
  output.target = read_target(record.target);
  output.setting = to_equaliser(record.cuts);
  output.cuts = sheet_cuts(output);
  output.lost_db = cuts::mean_level_lost_db(output.setting, kSheetRateHz);
  find_deepest(output);
  walk_rounds(output);
  find_loudest(output);
  return output;
}

const char* written_state(RingState state) noexcept {
  switch (state) {
    case RingState::kFaded:
      return "faded after its cut";
    case RingState::kCameBack:
      return "came back later";
    case RingState::kNotSeenToFade:
      return "not seen to fade";
    case RingState::kNotCut:
      return "not cut";
  }
  return "";
}

}  // namespace brink::sheet
