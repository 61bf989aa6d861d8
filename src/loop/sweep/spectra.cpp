#include "loop/sweep/spectra.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

namespace brink::loop {
namespace {

using Complex = std::complex<double>;

int power_of_two(std::size_t samples) noexcept {
  int size = 4096;
  while (static_cast<std::size_t>(size) < samples) {
    size *= 2;
  }
  return size;
}

}  // namespace

Spectra::Spectra(std::size_t taps, double sample_rate_hz)
    : fft_(power_of_two(taps)),
      samples_(static_cast<std::size_t>(fft_.size_samples())),
      bin_hz_(sample_rate_hz / fft_.size_samples()) {}

std::size_t Spectra::bin(double frequency_hz) const noexcept {
  return std::min(bins() - 1, static_cast<std::size_t>(std::lround(frequency_hz / bin_hz_)));
}

std::vector<Complex> Spectra::forward(std::span<const double> taps) {
  std::fill(samples_.begin(), samples_.end(), 0.0);
  std::copy(taps.begin(), taps.end(), samples_.begin());
  std::vector<Complex> spectrum(bins());
  fft_.forward(samples_, spectrum);
  return spectrum;
}

const std::vector<double>& Spectra::inverse(std::span<const Complex> spectrum) {
  fft_.inverse(spectrum, samples_);
  for (double& sample : samples_) {
    sample /= fft_.size_samples();
  }
  return samples_;
}

double lag_samples(Spectra& spectra,
                   std::span<const Complex> early,
                   std::span<const Complex> late,
                   double most) {
  std::vector<Complex> cross(early.size());
  for (std::size_t k = 0; k < cross.size(); ++k) {
    cross[k] = std::conj(early[k]) * late[k];
  }
  const std::vector<double>& correlation = spectra.inverse(cross);
  const auto size = static_cast<std::int64_t>(correlation.size());
  const auto reach = std::min(size / 2 - 1, static_cast<std::int64_t>(most) + 2);
  std::int64_t best = 0;
  for (std::int64_t n = -reach; n <= reach; ++n) {
    const auto at = [&](std::int64_t index) {
      return correlation[static_cast<std::size_t>((index + size) % size)];
    };
    best = at(n) > at(best) ? n : best;
  }
  double lag = static_cast<double>(best);
  for (int round = 0; round < 3; ++round) {
    double moment = 0.0;
    double square = 0.0;
    for (std::size_t k = 1; k < cross.size(); ++k) {
      const double radians = std::numbers::pi * static_cast<double>(k) /
                             static_cast<double>(cross.size() - 1);  // per sample
      const Complex left = cross[k] * std::polar(1.0, radians * lag);
      moment -= radians * left.imag();
      square += radians * radians * std::abs(left);
    }
    lag += square > 0.0 ? moment / square : 0.0;
  }
  return lag;
}

void turn_back(std::span<Complex> spectrum, double samples) noexcept {
  for (std::size_t k = 0; k < spectrum.size(); ++k) {
    spectrum[k] *= std::polar(1.0,
                              std::numbers::pi * static_cast<double>(k) /
                                  static_cast<double>(spectrum.size() - 1) * samples);
  }
}

}  // namespace brink::loop
