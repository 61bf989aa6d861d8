#include "support/small_loop.h"

#include <cmath>
#include <complex>
#include <numbers>

namespace brink::tests {
namespace {

using Complex = std::complex<double>;

double db_to_lin(double level_db) {
  return std::pow(10.0, level_db / 20.0);
}

/// The root of log(gain H(z) z^-N) = 2 pi i k nearest to `start`, with z = exp(s). The logarithm is
/// nearly a straight line in s, so Newton's method needs few steps. The derivative is a central
/// difference.
Complex root_near(const SmallLoop& loop, double gain_lin, Complex start) {
  const auto filter = loop.resonance();
  const auto around = [&](Complex s) {
    const Complex back = std::exp(-s);
    const Complex h =
        filter.b0 * (1.0 - back * back) / (1.0 + filter.a1 * back + filter.a2 * back * back);
    return gain_lin * h * std::exp(-s * static_cast<double>(loop.delay_samples));
  };
  Complex s = start;
  for (int step = 0; step < 50; ++step) {
    constexpr double kStep = 1e-6;
    const Complex value = std::log(around(s));  // principal value: gives the nearest whole turn
    const Complex slope = std::log(around(s + kStep) / around(s - kStep)) / (2.0 * kStep);
    s -= value / slope;
  }
  return s;
}

}  // namespace

SmallLoop::Resonance SmallLoop::resonance() const {
  const double turn = 2.0 * std::numbers::pi * centre_hz / sample_rate_hz;
  const double alpha = std::sin(turn) / (2.0 * q);
  const double a0 = 1.0 + alpha;
  return {alpha / a0, -2.0 * std::cos(turn) / a0, (1.0 - alpha) / a0};
}

SmallLoop::Ring SmallLoop::leader(double gain_db) const {
  // Whole turns are at most 1/delay apart. With four starts in that distance none is missed.
  const double step_hz = sample_rate_hz / delay_samples / 4.0;
  Ring best{0.0, -1e9};
  for (int step = -16; step <= 16; ++step) {
    const double start_hz = centre_hz + step * step_hz;
    const Complex start(0.0, 2.0 * std::numbers::pi * start_hz / sample_rate_hz);
    const Complex s = root_near(*this, db_to_lin(gain_db), start);
    // s is in nepers and radians per sample.
    const Ring ring{s.imag() * sample_rate_hz / (2.0 * std::numbers::pi),
                    s.real() * sample_rate_hz * 20.0 / std::numbers::ln10};
    if (std::isfinite(ring.growth_db_per_s) && ring.growth_db_per_s > best.growth_db_per_s) {
      best = ring;
    }
  }
  return best;
}

double SmallLoop::brink_gain_db() const {
  double low_db = -20.0;
  double high_db = 20.0;
  while (high_db - low_db > 1e-6) {
    const double middle_db = (low_db + high_db) / 2.0;
    (leader(middle_db).growth_db_per_s < 0.0 ? low_db : high_db) = middle_db;
  }
  return high_db;
}

}  // namespace brink::tests
