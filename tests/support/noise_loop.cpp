#include "support/noise_loop.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "base/biquad.h"
#include "base/units.h"
#include "base/vector_fft.h"
#include "cuts/filters.h"

namespace brink::tests {

NoiseLoop make_noise_loop(std::uint64_t seed, double t60_s) {
  constexpr double kRateHz = 48000.0;
  constexpr double kDelayS = 0.010;
  constexpr double kButterworthQ = std::numbers::sqrt2 / 2.0;
  std::mt19937_64 engine(seed);
  const auto share = [&] { return static_cast<double>(engine() >> 11U) * 0x1p-53; };
  const int length = static_cast<int>(1.1 * t60_s * kRateHz);
  // Twice as fine as one over the length, so that the phase changes little from point to point.
  const int size = base::fast_fft_size(2 * length);
  std::vector<float> samples(static_cast<std::size_t>(size), 0.0F);
  for (int n = 0; n < length; ++n) {
    const double white = share() + share() + share() - 1.5;
    samples[static_cast<std::size_t>(n)] =
        static_cast<float>(white * std::pow(10.0, -3.0 * n / kRateHz / t60_s));
  }
  base::VectorFft fft(size);
  std::vector<std::complex<float>> bins(static_cast<std::size_t>(fft.bin_count()));
  fft.forward(samples, bins);

  NoiseLoop room{.step_hz = kRateHz / size, .gain = {}};
  const base::Biquad low = cuts::design_high_pass(90.0, kButterworthQ, kRateHz);
  for (std::size_t k = 1; room.step_hz * static_cast<double>(k) <= 16000.0; ++k) {
    const double f_hz = room.step_hz * static_cast<double>(k);
    const double w = f_hz / 14000.0;
    const std::complex<double> high = 1.0 / std::complex<double>(1.0 - w * w, w / kButterworthQ);
    room.gain.push_back(std::complex<double>(bins[k]) * base::response(low, f_hz, kRateHz) * high *
                        std::polar(1.0, -2.0 * std::numbers::pi * f_hz * kDelayS));
  }
  const double scale = base::db_to_amplitude(-cuts::highest_crossing(room.loop()).level_db);
  for (auto& value : room.gain) {
    value *= scale;
  }
  return room;
}

}  // namespace brink::tests
