#include "listen/calibrator_tone.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "base/error.h"
#include "base/units.h"

namespace brink::listen {
namespace {

using base::Error;

constexpr double kToneHz = 1000.0;
constexpr double kFarthestRatio = 0.02;
constexpr double kPieceS = 0.5;
constexpr double kMostWaverDb = 0.5;
constexpr double kLeastOverRestDb = 10.0;
constexpr float kFullScaleLin = 0.99996F;  // the largest value of a 16-bit converter

/// Mean square of a tone, by a Hann window and one bin of a transform at that frequency.
double power_at(std::span<const float> piece, double sample_rate_hz, double frequency_hz) {
  std::complex<double> sum;
  const auto size = static_cast<double>(piece.size());
  for (std::size_t n = 0; n < piece.size(); ++n) {
    const double turn = 2.0 * std::numbers::pi * static_cast<double>(n);
    const double window = 0.5 - 0.5 * std::cos(turn / size);
    sum +=
        std::polar(window * static_cast<double>(piece[n]), -turn * frequency_hz / sample_rate_hz);
  }
  return 2.0 *
         std::norm(sum / (0.5 * size));  // half of the amplitude, squared; mean square is A^2/2
}

double mean_square(std::span<const float> piece) {
  double sum = 0.0;
  for (const float sample : piece) {
    sum += static_cast<double>(sample) * static_cast<double>(sample);
  }
  return sum / static_cast<double>(piece.size());
}

/// The frequency near 1 kHz at which the piece has most power, in steps that cost under 0.01 dB.
double strongest_hz(std::span<const float> piece, double sample_rate_hz) {
  constexpr double kStepHz = 0.1;
  constexpr int kSteps = static_cast<int>(2.0 * kFarthestRatio * kToneHz / kStepHz);
  double best_hz = kToneHz;
  double best = -1.0;
  for (int step = 0; step <= kSteps; ++step) {
    const double hz = kToneHz * (1.0 - kFarthestRatio) + step * kStepHz;
    const double power = power_at(piece, sample_rate_hz, hz);
    if (power > best) {
      best = power;
      best_hz = hz;
    }
  }
  return best_hz;
}

}  // namespace

double calibrator_tone_dbfs(std::span<const float> samples, double sample_rate_hz) {
  const auto piece_samples = static_cast<std::size_t>(kPieceS * sample_rate_hz);
  const std::size_t count = samples.size() / piece_samples;
  if (count < 4) {
    throw Error("The calibrator must be heard for two seconds at least.");
  }
  const bool clips = std::any_of(samples.begin(), samples.end(), [](float sample) {
    return !(std::abs(sample) < kFullScaleLin);
  });
  if (clips) {
    throw Error("The calibrator's tone clips; turn the input down, and calibrate again.");
  }
  const double tone_hz = strongest_hz(samples.first(piece_samples), sample_rate_hz);
  double sum = 0.0;
  double lowest = 0.0;
  double highest = 0.0;
  double all = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const auto piece = samples.subspan(i * piece_samples, piece_samples);
    const double power = power_at(piece, sample_rate_hz, tone_hz);
    lowest = i == 0 ? power : std::min(lowest, power);
    highest = std::max(highest, power);
    sum += power;
    all += mean_square(piece);
  }
  const double over_rest_db = base::power_to_db(sum) - base::power_to_db(std::max(all - sum, 0.0));
  if (!(sum > 0.0) || over_rest_db < kLeastOverRestDb) {
    throw Error(
        "There is no calibrator's tone at 1 kHz that stands 10 dB above all other sound; put the "
        "calibrator on the microphone and switch it on.");
  }
  const double waver_db = base::power_to_db(highest) - base::power_to_db(lowest);
  if (waver_db > kMostWaverDb) {
    throw Error(fmt::format(
        "The calibrator's tone wavers by {:.1f} dB; hold it still, and calibrate again.",
        waver_db));
  }
  return base::power_to_db(sum / static_cast<double>(count));
}

}  // namespace brink::listen
