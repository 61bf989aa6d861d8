#include "ear/score.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "base/units.h"
#include "cuts/filters.h"
#include "cuts/grid.h"
#include "cuts/propose.h"
#include "ear/ruler.h"

namespace brink::ear {
namespace {

constexpr double kCentsPerOctave = 1200.0;
constexpr double kDepthWithoutRingDb = -6.0;  // a usual first step in notch practice is 3 or 6 dB

/// The value of the list with the ratio to `value` nearest to 1.
double nearest_ratio(std::span<const double> list, double value) {
  return *std::min_element(list.begin(), list.end(), [&](double a, double b) {
    return std::abs(std::log(a / value)) < std::abs(std::log(b / value));
  });
}

}  // namespace

double bands_between(double frequency_hz, double reference_hz) noexcept {
  return 10.0 * std::log10(frequency_hz / reference_hz);
}

bool is_within_third_octave(double guessed_hz, double true_hz) noexcept {
  constexpr double kRounding = 1e-9;  // a guess exactly one band away is a hit
  return std::abs(bands_between(guessed_hz, true_hz)) <= 1.0 + kRounding;
}

int octave_slip(double guessed_hz, double true_hz) noexcept {
  const double error_cents = base::cents_between(guessed_hz, true_hz);
  const auto octaves = static_cast<int>(std::lround(error_cents / kCentsPerOctave));
  const double half_band_cents = 0.5 * base::cents_between(std::pow(10.0, 0.1), 1.0);
  const bool is_right_otherwise =
      std::abs(error_cents - octaves * kCentsPerOctave) <= half_band_cents;
  return is_right_otherwise && std::abs(octaves) <= kMostOctaveSlip ? octaves : 0;
}

double heard_error_cents(double guessed_hz, double true_hz) noexcept {
  return std::max(std::abs(base::cents_between(guessed_hz, true_hz)), hearing_step_cents(true_hz));
}

cuts::Cut guessed_cut(const cuts::Target& target, double guessed_hz, double depth_db) {
  const double steps = std::ceil(-depth_db / target.depth_step_db - 1e-9);
  return {nearest_ratio(target.centres_hz, guessed_hz),
          nearest_ratio(target.qs, cuts::graphic_band_q(1)),
          std::max(-steps * target.depth_step_db, target.deepest_db)};
}

GuessScore score_guess(const EarTruth& truth, double guessed_hz, const cuts::Target& target) {
  GuessScore score;
  score.error_cents = base::cents_between(guessed_hz, truth.frequency_hz);
  score.heard_error_cents = heard_error_cents(guessed_hz, truth.frequency_hz);
  score.error_bands = bands_between(guessed_hz, truth.frequency_hz);
  score.is_hit = is_within_third_octave(guessed_hz, truth.frequency_hz);
  score.octave_slip = octave_slip(guessed_hz, truth.frequency_hz);
  const double depth_db = truth.excess_db
                              ? -(std::max(0.0, *truth.excess_db) + cuts::ProposeConfig{}.margin_db)
                              : kDepthWithoutRingDb;
  score.cut = guessed_cut(target, guessed_hz, depth_db);
  score.cut_on = target.kind;
  score.left_db = cuts::level_db(score.cut, truth.frequency_hz);
  if (truth.excess_db) {
    score.stops_ring = -score.left_db > *truth.excess_db;
  }
  return score;
}

}  // namespace brink::ear
