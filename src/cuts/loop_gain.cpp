#include "cuts/loop_gain.h"

#include <algorithm>

#include "base/units.h"

namespace brink::cuts {

std::vector<Crossing> find_crossings(const LoopGain& loop, double range_db) {
  std::vector<Crossing> found;
  for (std::size_t k = 0; k + 1 < loop.gain.size(); ++k) {
    const auto [power, position] = cross_cell(loop.gain[k], loop.gain[k + 1]);
    if (power > 0.0) {
      found.push_back({loop.frequency_hz(k) + position * loop.step_hz, base::power_to_db(power)});
    }
  }
  std::sort(found.begin(), found.end(), [](const Crossing& a, const Crossing& b) {
    return a.level_db > b.level_db;
  });
  const auto first_low = std::find_if(found.begin(), found.end(), [&](const Crossing& crossing) {
    return crossing.level_db < found.front().level_db - range_db;
  });
  found.erase(first_low, found.end());
  return found;
}

Crossing highest_crossing(const LoopGain& loop) noexcept {
  Crossing highest{0.0, base::kSilenceDb};
  double highest_power = 0.0;
  for (std::size_t k = 0; k + 1 < loop.gain.size(); ++k) {
    const auto [power, position] = cross_cell(loop.gain[k], loop.gain[k + 1]);
    if (power > highest_power) {
      highest_power = power;
      highest = {loop.frequency_hz(k) + position * loop.step_hz, base::power_to_db(power)};
    }
  }
  return highest;
}

}  // namespace brink::cuts
