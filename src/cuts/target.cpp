#include "cuts/target.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/units.h"
#include "cuts/grid.h"

namespace brink::cuts {
namespace {

Target make_parametric(const char* name, const char* about, int bands) {
  Target target;
  target.name = name;
  target.about = about;
  target.bands = bands;
  // Centres 1 % apart, as a knob or an encoder steps. Q in steps of 9 %.
  target.centres_hz = even_ratio_grid(20.0, 20000.0, 48.0);
  target.qs = even_ratio_grid(0.5, 30.0, 8.0);
  target.high_pass_hz = even_ratio_grid(20.0, 300.0, 6.0);
  return target;
}

Target make_graphic(const char* name, const char* about, int third_octaves_apart) {
  Target target;
  target.name = name;
  target.about = about;
  target.kind = Target::Kind::kGraphic;
  target.centres_hz = iec_grid(third_octaves_apart);
  target.qs = {graphic_band_q(third_octaves_apart)};
  target.bands = static_cast<int>(target.centres_hz.size());
  target.deepest_db = -12.0;
  return target;
}

}  // namespace

std::span<const Target> built_in_targets() {
  static const std::array<Target, 4> targets{{
      make_parametric("parametric", "eight parametric bands and a high-pass", 8),
      make_parametric("parametric-4", "four parametric bands and a high-pass", 4),
      make_graphic("third-octave", "graphic of 31 third-octave bands", 1),
      make_graphic("octave", "graphic of ten octave bands", 3),
  }};
  return targets;
}

const Target* find_target(std::string_view name) {
  const auto targets = built_in_targets();
  const auto found = std::find_if(
      targets.begin(), targets.end(), [&](const Target& target) { return target.name == name; });
  return found == targets.end() ? nullptr : &*found;
}

double grid_value(std::span<const double> list, double value, int steps) {
  const auto nearest = std::min_element(list.begin(), list.end(), [&](double a, double b) {
    return std::abs(std::log(a / value)) < std::abs(std::log(b / value));
  });
  const auto index = static_cast<int>(nearest - list.begin()) + steps;
  return list[static_cast<std::size_t>(std::clamp(index, 0, static_cast<int>(list.size()) - 1))];
}

double depth_value(const Target& target, double depth_db, int steps) {
  const double step_db = target.depth_step_db;
  const double deepest_steps = std::floor(-target.deepest_db / step_db + 1e-9);
  const double at = std::round(-depth_db / step_db) + steps;
  return -step_db * std::clamp(at, 1.0, deepest_steps);
}

std::vector<Slot> to_slots(const Target& target, double sample_rate_hz) {
  const auto below_half = [&](const std::vector<double>& centres_hz) {
    std::vector<double> kept;
    std::copy_if(centres_hz.begin(), centres_hz.end(), std::back_inserter(kept), [&](double hz) {
      return hz < 0.49 * sample_rate_hz;
    });
    return kept;
  };
  std::vector<double> depths_db{0.0};
  for (int step = 1; step * target.depth_step_db <= -target.deepest_db + 1e-9; ++step) {
    depths_db.push_back(-step * target.depth_step_db);
  }
  std::vector<Slot> slots;
  const auto centres_hz = below_half(target.centres_hz);
  if (target.kind == Target::Kind::kGraphic) {
    for (const double centre_hz : centres_hz) {
      slots.push_back({Slot::Kind::kPeaking, {centre_hz}, target.qs, depths_db});
    }
  } else {
    slots.assign(static_cast<std::size_t>(target.bands),
                 {Slot::Kind::kPeaking, centres_hz, target.qs, depths_db});
  }
  const auto corners_hz = below_half(target.high_pass_hz);
  if (!corners_hz.empty()) {
    slots.push_back({Slot::Kind::kHighPass, corners_hz, {HighPass::kQ}, {0.0, -1.0}});
  }
  return slots;
}

}  // namespace brink::cuts
