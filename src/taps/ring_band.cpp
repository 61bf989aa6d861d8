#include "taps/ring_band.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

namespace brink::taps {
namespace {

using Complex = std::complex<double>;
using Eigen::Index;

constexpr double kTurn = 2.0 * std::numbers::pi;

/// A low-pass of four steps' length (Hamming) that is turned up to the frequency.
struct BandFilter {
  BandFilter(double turns_per_sample, int step) {
    const int half = 2 * step;
    constexpr double kCut = 0.8;  // of half the band's rate
    double sum = 0.0;
    for (int n = -half; n <= half; ++n) {
      const double x = std::numbers::pi * kCut * n / step;
      const double sinc = n == 0 ? 1.0 : std::sin(x) / x;
      const double weight = sinc * (0.54 + 0.46 * std::cos(std::numbers::pi * n / half));
      sum += weight;
      real.push_back(weight * std::cos(kTurn * turns_per_sample * n));
      imag.push_back(-weight * std::sin(kTurn * turns_per_sample * n));
    }
    scale = 1.0 / sum;
  }

  [[nodiscard]] Complex over(const double* samples) const noexcept {
    double sum_real = 0.0;
    double sum_imag = 0.0;
    for (std::size_t n = 0; n < real.size(); ++n) {
      sum_real += real[n] * samples[n];
      sum_imag += imag[n] * samples[n];
    }
    return {scale * sum_real, scale * sum_imag};
  }

  std::vector<double> real, imag;
  double scale;
};

}  // namespace

RingBand band_around(const TapHistory& history,
                     std::span<const std::size_t> taps,
                     double frequency_hz,
                     double band_rate_hz,
                     double length_s,
                     std::int64_t end) {
  const double rate_hz = history.sample_rate_hz();
  const int step = std::max(1, static_cast<int>(std::lround(rate_hz / band_rate_hz)));
  const BandFilter filter{frequency_hz / rate_hz, step};
  const auto length = static_cast<std::int64_t>(filter.real.size());
  const std::int64_t heard = std::min(end, static_cast<std::int64_t>(length_s * rate_hz));
  const std::int64_t count = heard < length ? 0 : (heard - length) / step + 1;
  const std::int64_t from = end - length - (count - 1) * step;
  RingBand band{Eigen::MatrixXcd(static_cast<Index>(taps.size()), count), rate_hz / step};
  std::vector<double> samples(static_cast<std::size_t>(end - from));
  for (std::size_t row = 0; row < taps.size(); ++row) {
    for (std::size_t n = 0; n < samples.size(); ++n) {
      samples[n] =
          static_cast<double>(history.sample(taps[row], from + static_cast<std::int64_t>(n)));
    }
    for (std::int64_t i = 0; i < count; ++i) {
      const double turns = static_cast<double>(i * step) * (frequency_hz / rate_hz);
      band.samples(static_cast<Index>(row), i) =
          std::polar(1.0, -kTurn * (turns - std::floor(turns))) *
          filter.over(&samples[static_cast<std::size_t>(i * step)]);
    }
  }
  return band;
}

}  // namespace brink::taps
