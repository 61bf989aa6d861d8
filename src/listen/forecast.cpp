#include "listen/forecast.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <optional>

#include "cuts/loop_gain.h"

namespace brink::listen {
namespace {

constexpr double kRangeDb = 12.0;         // of places under the first
constexpr double kStretchRangeDb = 24.0;  // a stretch is less sure of its levels
/// How far the same place may lie in two stretches.
constexpr double kSamePlaceHz = 4.0;
constexpr double kMostLevelSdDb = 1.0;
/// A sound is not back sooner, and what comes back later is a programme that repeats itself.
constexpr double kLeastDelayS = 0.002;
constexpr double kMostDelayS = 0.25;

cuts::LoopGain view(const LoopSpectrum& loop) noexcept {
  return {loop.step_hz, loop.step_hz, std::span(loop.gain).subspan(1)};
}

std::optional<cuts::Crossing> nearest(std::span<const cuts::Crossing> crossings,
                                      double frequency_hz) {
  const auto found =
      std::min_element(crossings.begin(), crossings.end(), [&](const auto& a, const auto& b) {
        return std::abs(a.frequency_hz - frequency_hz) < std::abs(b.frequency_hz - frequency_hz);
      });
  if (found == crossings.end() || std::abs(found->frequency_hz - frequency_hz) > kSamePlaceHz) {
    return std::nullopt;
  }
  return *found;
}

double group_delay_s(const LoopSpectrum& loop, double frequency_hz) noexcept {
  const auto k = static_cast<std::size_t>(frequency_hz / loop.step_hz);
  const double turn = std::arg(loop.gain[k] * std::conj(loop.gain[k + 1]));
  return turn / (2.0 * std::numbers::pi * loop.step_hz);
}

/// Mean and standard deviation of what is added.
class Tally {
 public:
  void add(double value) noexcept {
    ++count_;
    sum_ += value;
    squares_ += value * value;
  }

  [[nodiscard]] std::size_t count() const noexcept { return count_; }

  /// Of the mean of all.
  [[nodiscard]] double standard_error() const noexcept {
    const auto count = static_cast<double>(count_);
    const double variance = (squares_ - sum_ * sum_ / count) / std::max(1.0, count - 1.0);
    return std::sqrt(std::max(0.0, variance) / count);
  }

 private:
  std::size_t count_ = 0;
  double sum_ = 0.0;
  double squares_ = 0.0;
};

}  // namespace

void Forecast::renew() {
  const std::int64_t next = serial + 1;
  *this = {};
  serial = next;
}

LoopSpectrum to_spectrum(std::span<const double> response,
                         base::DoubleFft& fft,
                         double sample_rate_hz) {
  std::vector<double> padded(response.begin(), response.end());
  padded.resize(static_cast<std::size_t>(fft.size_samples()));
  LoopSpectrum spectrum;
  spectrum.step_hz = sample_rate_hz / static_cast<double>(padded.size());
  spectrum.gain.resize(static_cast<std::size_t>(fft.bin_count()));
  fft.forward(padded, spectrum.gain);
  return spectrum;
}

namespace {

/// What is foreseen where the whole loop has `crossing`; nothing where its stretches do not bear it
/// out.
std::optional<ForeseenPlace> place_at(const cuts::Crossing& crossing,
                                      const LoopSpectrum& whole,
                                      std::span<const std::vector<cuts::Crossing>> of_stretches) {
  Tally frequency;
  Tally level;
  for (const auto& stretch : of_stretches) {
    if (const auto same = nearest(stretch, crossing.frequency_hz)) {
      frequency.add(same->frequency_hz);
      level.add(same->level_db);
    }
  }
  const double delay_s = group_delay_s(whole, crossing.frequency_hz);
  const bool is_steady =
      frequency.count() == of_stretches.size() && level.standard_error() <= kMostLevelSdDb;
  if (!is_steady || delay_s < kLeastDelayS || delay_s > kMostDelayS) {
    return std::nullopt;
  }
  const double left_db = std::max(0.0, -crossing.level_db);
  return ForeseenPlace{crossing.frequency_hz,
                       frequency.standard_error(),
                       left_db,
                       level.standard_error(),
                       left_db / delay_s};
}

}  // namespace

std::vector<ForeseenPlace> find_places(const LoopSpectrum& whole,
                                       std::span<const LoopSpectrum> stretches,
                                       double low_hz,
                                       double high_hz) {
  std::vector<std::vector<cuts::Crossing>> of_stretches;
  of_stretches.reserve(stretches.size());
  for (const LoopSpectrum& stretch : stretches) {
    of_stretches.push_back(cuts::find_crossings(view(stretch), kStretchRangeDb));
  }
  std::vector<ForeseenPlace> places;
  for (const cuts::Crossing& crossing : cuts::find_crossings(view(whole), kRangeDb)) {
    if (crossing.frequency_hz < low_hz || crossing.frequency_hz > high_hz) {
      continue;
    }
    if (const auto place = place_at(crossing, whole, of_stretches)) {
      places.push_back(*place);
    }
    if (places.size() == kMostPlaces) {
      break;
    }
  }
  return places;
}

double spread(const LoopSpectrum& whole,
              std::span<const LoopSpectrum> stretches,
              double low_hz,
              double high_hz) noexcept {
  const auto from = static_cast<std::size_t>(low_hz / whole.step_hz);
  const auto to = static_cast<std::size_t>(high_hz / whole.step_hz);
  double sum = 0.0;
  double scale = 0.0;
  for (const LoopSpectrum& stretch : stretches) {
    for (std::size_t k = from; k < to; ++k) {
      sum += std::norm(stretch.gain[k] - whole.gain[k]);
      scale += std::norm(1.0 - whole.gain[k]);
    }
  }
  return sum / scale;
}

}  // namespace brink::listen
