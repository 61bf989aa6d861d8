#include "bench/literature/s1.h"

#include <cmath>
#include <numbers>

namespace brink::bench {

int s1_window_samples(double sample_rate_hz) {
  constexpr double kWindowS = 0.09;  // between 4096 / 48000 and 4096 / 44100
  return 1 << std::lround(std::log2(kWindowS * sample_rate_hz));
}

std::vector<float> S1Criterion::window() const {
  std::vector<float> window(static_cast<std::size_t>(size_));
  for (std::size_t n = 0; n < window.size(); ++n) {
    const double turn = 2.0 * std::numbers::pi * static_cast<double>(n) / size_;
    window[n] = static_cast<float>(0.42 - 0.5 * std::cos(turn) + 0.08 * std::cos(2.0 * turn));
  }
  return window;
}

}  // namespace brink::bench
