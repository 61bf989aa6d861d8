#include "loop/band_limits.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "base/biquad.h"
#include "base/error.h"

namespace brink::loop {

namespace {

// Butterworth by the bilinear transform, pre-warped to the corner (a standard design; see any text
// on digital filters).
base::Biquad butterworth(double corner_hz, double sample_rate_hz, bool is_high_pass) {
  const double k = std::tan(std::numbers::pi * corner_hz / sample_rate_hz);
  const double norm = 1.0 / (1.0 + std::numbers::sqrt2 * k + k * k);
  base::Biquad section;
  section.b0 = (is_high_pass ? 1.0 : k * k) * norm;
  section.b1 = (is_high_pass ? -2.0 : 2.0) * section.b0;
  section.b2 = section.b0;
  section.a1 = 2.0 * (k * k - 1.0) * norm;
  section.a2 = (1.0 - std::numbers::sqrt2 * k + k * k) * norm;
  return section;
}

void run(const base::Biquad& section, std::vector<double>& samples) {
  base::BiquadRunner runner{section};
  for (double& sample : samples) {
    sample = runner.step(sample);
  }
}

}  // namespace

void apply(const BandLimits& limits, double sample_rate_hz, std::vector<double>& response) {
  const bool is_open_above = limits.high_hz == 0.0;
  const double top_hz = is_open_above ? sample_rate_hz / 2.0 : limits.high_hz;
  if (!(limits.low_hz >= 0.0 && limits.low_hz < top_hz &&
        (is_open_above || top_hz < sample_rate_hz / 2.0))) {
    throw base::Error{fmt::format(
        "band limits of {:g} to {:g} Hz do not fit a sample rate of {:g} Hz; the lower must be "
        "below the upper, the upper below half the sample rate.",
        limits.low_hz,
        limits.high_hz,
        sample_rate_hz)};
  }
  if (limits.low_hz > 0.0) {
    run(butterworth(limits.low_hz, sample_rate_hz, true), response);
  }
  if (!is_open_above) {
    run(butterworth(limits.high_hz, sample_rate_hz, false), response);
  }
}

}  // namespace brink::loop
