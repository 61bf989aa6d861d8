#include "cuts/loop_level.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/units.h"

namespace brink::cuts {
namespace {

/// No equaliser brings the highest crossing down this far. So what lies deeper cannot become the
/// highest.
constexpr double kDeepestDb = 20.0;

}  // namespace

LoopLevel::LoopLevel(const LoopGain& loop, double sample_rate_hz)
    : loop_(loop), sample_rate_hz_(sample_rate_hz) {
  const double least_power = std::pow(10.0, (highest_crossing(loop).level_db - kDeepestDb) / 10.0);
  for (std::size_t k = 0; k < loop.gain.size(); ++k) {
    const bool is_kept = std::norm(loop.gain[k]) > least_power ||
                         (k > 0 && std::norm(loop.gain[k - 1]) > least_power) ||
                         (k + 1 < loop.gain.size() && std::norm(loop.gain[k + 1]) > least_power);
    if (!is_kept) {
      continue;
    }
    if (runs_.empty() || runs_.back().first + runs_.back().z1.size() != k) {
      runs_.push_back({k, {}});
    }
    runs_.back().z1.push_back(
        std::polar(1.0, -2.0 * std::numbers::pi * loop.frequency_hz(k) / sample_rate_hz));
  }
}

std::vector<Crossing> LoopLevel::crossings(const Setting& setting, double range_db) const {
  const auto sections = to_sections(setting, sample_rate_hz_);
  std::vector<Crossing> found;
  std::vector<std::complex<double>> gain;
  for (const Run& run : runs_) {
    gain.assign(loop_.gain.begin() + static_cast<std::ptrdiff_t>(run.first),
                loop_.gain.begin() + static_cast<std::ptrdiff_t>(run.first + run.z1.size()));
    const double first_hz = loop_.frequency_hz(run.first);
    for (std::size_t k = 0; k < gain.size() && !sections.empty(); ++k) {
      const auto z1 = run.z1[k];
      const auto z2 = z1 * z1;
      std::complex<double> above = gain[k];
      std::complex<double> below = 1.0;
      for (const base::Biquad& s : sections) {
        above *= s.b0 + s.b1 * z1 + s.b2 * z2;
        below *= 1.0 + s.a1 * z1 + s.a2 * z2;
      }
      gain[k] = above / below;
    }
    const auto more = find_crossings({first_hz, loop_.step_hz, gain}, range_db);
    found.insert(found.end(), more.begin(), more.end());
  }
  std::sort(found.begin(), found.end(), [](const Crossing& a, const Crossing& b) {
    return a.level_db > b.level_db;
  });
  std::erase_if(
      found,
      [&, highest_db = found.empty() ? 0.0 : found.front().level_db](const Crossing& crossing) {
        return crossing.level_db < highest_db - range_db;
      });
  return found;
}

double LoopLevel::highest_db(const Setting& setting) const {
  const auto found = crossings(setting, 0.0);
  return found.empty() ? base::kSilenceDb : found.front().level_db;
}

}  // namespace brink::cuts
