#include "support/small_loop.h"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using brink::tests::SmallLoop;

// Compares the calculation with the loop itself, run sample by sample from one impulse.
TEST_CASE("the predicted leader is what an impulse in the loop turns into") {
  SmallLoop loop;
  const double gain_db = loop.brink_gain_db() + 1.0;
  const double gain = std::pow(10.0, gain_db / 20.0);
  const auto filter = loop.resonance();
  std::vector<double> out(96000, 0.0);
  double x1 = 0.0;
  double x2 = 0.0;
  for (std::size_t n = 0; n < out.size(); ++n) {
    const auto delay = static_cast<std::size_t>(loop.delay_samples);
    const double x = (n == 0 ? 1.0 : 0.0) + (n < delay ? 0.0 : gain * out[n - delay]);
    const double y1 = n < 1 ? 0.0 : out[n - 1];
    const double y2 = n < 2 ? 0.0 : out[n - 2];
    out[n] = filter.b0 * (x - x2) - filter.a1 * y1 - filter.a2 * y2;
    x2 = x1;
    x1 = x;
  }
  // In the last second only one tone is left, since all other rings have decayed. Three
  // neighbouring samples of a growing tone obey y[n+1] + r^2 y[n-1] = 2 r cos(w) y[n]. This is
  // solved by least squares over many samples.
  const SmallLoop::Ring ring = loop.leader(gain_db);
  double a = 0.0;
  double b = 0.0;
  double c = 0.0;
  double d = 0.0;
  double e = 0.0;
  for (std::size_t n = 72000; n + 1 < out.size(); ++n) {
    a += out[n] * out[n];
    b += out[n] * out[n - 1];
    c += out[n - 1] * out[n - 1];
    d += out[n + 1] * out[n];
    e += out[n + 1] * out[n - 1];
  }
  const double first = (d * c - e * b) / (a * c - b * b);   // 2 r cos(w)
  const double second = (e * a - d * b) / (a * c - b * b);  // -r^2
  const double radius = std::sqrt(-second);
  const double frequency_hz =
      std::acos(first / (2.0 * radius)) * loop.sample_rate_hz / (2.0 * std::acos(-1.0));
  const double growth_db_per_s = 20.0 * std::log10(radius) * loop.sample_rate_hz;
  CHECK(frequency_hz == doctest::Approx(ring.frequency_hz).epsilon(1e-5));  // 0.02 cents
  CHECK(growth_db_per_s == doctest::Approx(ring.growth_db_per_s).epsilon(1e-3));
  CHECK(ring.growth_db_per_s > 30.0);
}

TEST_CASE("below the brink every ring decays, above it one grows") {
  const SmallLoop loop;
  const double brink_db = loop.brink_gain_db();
  CHECK(brink_db >= 0.0);  // the resonance has at most 0 dB
  CHECK(brink_db < 1.0);
  CHECK(loop.leader(brink_db - 0.1).growth_db_per_s < 0.0);
  CHECK(loop.leader(brink_db + 0.1).growth_db_per_s > 0.0);
}
