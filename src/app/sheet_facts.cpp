#include "app/sheet_facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "app/sheet_text.h"
#include "core/error.h"
#include "core/units.h"
#include "cuts/filters.h"
#include "cuts/slot.h"

namespace brink::app {
namespace {

bool is_usable(const io::CutRecord& cut) {
  return std::isfinite(cut.centre_hz) && std::isfinite(cut.q) && std::isfinite(cut.depth_db) &&
         cut.centre_hz > 0.0 && cut.q >= 0.0;
}

std::optional<cuts::Target> read_target(const std::string& text) {
  if (const cuts::Target* ready = cuts::find_target(text)) {
    return *ready;
  }
  try {
    return cuts::parse_target(text, "target");
  } catch (const core::Error&) {
    return std::nullopt;
  }
}

cuts::Setting to_equaliser(std::span<const io::CutRecord> cuts) {
  cuts::Setting setting;
  for (const io::CutRecord& cut : cuts) {
    if (!is_usable(cut)) {
      continue;
    }
    if (cut.q == 0.0) {
      setting.high_pass.corner_hz = std::max(setting.high_pass.corner_hz, cut.centre_hz);
    } else {
      setting.cuts.push_back({cut.centre_hz, cut.q, cut.depth_db});
    }
  }
  return setting;
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

void place_on(const cuts::Target& target, SheetCut& sheet_cut) {
  const io::CutRecord& cut = sheet_cut.cut;
  std::vector<std::string> off;
  const auto& centres_hz = sheet_cut.is_high_pass ? target.high_pass_hz : target.centres_hz;
  if (centres_hz.empty()) {
    off.emplace_back("the target has none");
  } else if (const auto nearest_hz = nearest_if_off(centres_hz, cut.centre_hz)) {
    off.push_back(fmt::format("nearest is {}", written_hz(*nearest_hz)));
  }
  if (!sheet_cut.is_high_pass) {
    if (const auto nearest = nearest_if_off(target.qs, cut.q)) {
      off.push_back(fmt::format("nearest Q {:.3g}", *nearest));
    }
    const double steps = -cut.depth_db / target.depth_step_db;
    if (std::abs(steps - std::round(steps)) * target.depth_step_db < 0.02 &&
        std::abs(steps) < 1000.0) {
      sheet_cut.depth_steps = static_cast<int>(std::lround(steps));
    } else {
      off.emplace_back("depth between steps");
    }
    if (cut.depth_db < target.deepest_db - 0.02) {
      off.push_back(fmt::format("no deeper than {}", written_db(target.deepest_db)));
    }
    const double tenths = 10.0 * target.depth_step_db;
    sheet_cut.depth_decimals = std::abs(tenths - std::round(tenths)) < 1e-6 ? 1 : 2;
    if (target.kind == cuts::Target::Kind::kGraphic && !centres_hz.empty()) {
      sheet_cut.band = fmt::format(
          "band {} of {}", cuts::nearest_index(centres_hz, cut.centre_hz) + 1, centres_hz.size());
    }
  }
  for (const std::string& word : off) {
    sheet_cut.off_step += (sheet_cut.off_step.empty() ? "" : "; ") + word;
  }
}

bool reaches(const io::CutRecord& cut, double frequency_hz) {
  return cut.q > 0.0 && std::isfinite(frequency_hz) && frequency_hz > 0.0 &&
         std::abs(std::log2(frequency_hz / cut.centre_hz)) <= 0.5 * cuts::q_to_bandwidth(cut.q);
}

std::vector<SheetCut> sheet_cuts(const SheetOutput& output) {
  std::vector<SheetCut> list;
  for (const io::CutRecord& cut : output.record->cuts) {
    SheetCut sheet_cut;
    sheet_cut.cut = cut;
    sheet_cut.is_high_pass = cut.q == 0.0;
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
  // What has no place on the axis comes first: an order must not meet NaN.
  const auto key = [](const SheetCut& sheet_cut) {
    return sheet_cut.is_high_pass || !is_usable(sheet_cut.cut) ? 0.0 : sheet_cut.cut.centre_hz;
  };
  std::stable_sort(list.begin(), list.end(), [&](const SheetCut& one, const SheetCut& other) {
    return key(one) < key(other);
  });
  return list;
}

std::optional<double> difference(const std::optional<double>& one,
                                 const std::optional<double>& other) {
  return one && other ? std::optional(*one - *other) : std::nullopt;
}

void walk_rounds(SheetOutput& output) {
  output.start_db = output.record->start_at_db;
  for (const io::RoundRecord& round : output.record->rounds) {
    if (!output.start_db) {
      output.start_db = round.rang_at_db;
    }
    SheetRound sheet_round;
    if (round.cut) {
      sheet_round.state = round.has_faded ? RingState::kFaded : RingState::kNotSeenToFade;
    }
    if (round.rang_at_db) {
      output.edge_db = round.rang_at_db;
    }
    if (round.returned_at_db) {
      output.edge_db = round.returned_at_db;
    }
    sheet_round.won_db = difference(round.returned_at_db, round.rang_at_db);
    if (round.rang_at_db || round.returned_at_db) {
      sheet_round.won_so_far_db = difference(output.edge_db, output.start_db);
    }
    sheet_round.level_now_db = output.level_db(round.ring.frequency_hz);
    output.rounds.push_back(sheet_round);
  }
  output.won_db = difference(output.edge_db, output.start_db);
  output.leave_at_db = difference(output.edge_db, output.record->back_off_db);
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
  return core::amplitude_to_db(std::abs(cuts::response(setting, frequency_hz, kSheetRateHz)));
}

std::string SheetOutput::written_centre(double centre_hz) const {
  const bool is_graphic = target && target->kind == cuts::Target::Kind::kGraphic;
  return is_graphic ? written_band(centre_hz) : written_hz(centre_hz);
}

SheetOutput sheet_output(const io::OutputRecord& record) {
  SheetOutput output;
  output.record = &record;
  output.target = read_target(record.target);
  output.setting = to_equaliser(record.cuts);
  output.cuts = sheet_cuts(output);
  output.lost_db = cuts::mean_level_lost_db(output.setting, kSheetRateHz);
  find_deepest(output);
  walk_rounds(output);
  return output;
}

const char* written_state(RingState state) noexcept {
  switch (state) {
    case RingState::kFaded:
      return "faded after its cut";
    case RingState::kNotSeenToFade:
      return "not seen to fade";
    case RingState::kNotCut:
      return "not cut";
  }
  return "";
}

}  // namespace brink::app
