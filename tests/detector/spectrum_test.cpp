#include "detector/spectrum.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

using brink::detector::BetweenBins;
using brink::detector::Spectrum;

TEST_CASE(
    "between the bins a steady tone reads its amplitude and its phase in the window's middle") {
  constexpr int kSize = 512;
  constexpr double kAmplitude = 0.25;
  for (const double position : {60.0, 60.2, 60.499, 60.501, 60.8, 61.0}) {
    Spectrum spectrum{static_cast<double>(kSize), kSize, kSize};
    std::vector<float> samples(kSize);
    const double phase = 0.7;
    for (int n = 0; n < kSize; ++n) {
      const double turns = position * (n - 0.5 * kSize) / kSize;
      samples[static_cast<std::size_t>(n)] =
          static_cast<float>(kAmplitude * std::cos(2.0 * std::numbers::pi * turns + phase));
    }
    spectrum.advance(samples);
    const std::complex<float> reading =
        BetweenBins{static_cast<float>(position)}.read(spectrum.bins());
    CAPTURE(position);
    // The negative-frequency image, 120 bins away, leaks under -100 dB through a Hann window.
    CHECK(std::abs(reading) == doctest::Approx(kAmplitude).epsilon(1e-4));
    CHECK(std::arg(reading) == doctest::Approx(phase).epsilon(1e-3));
  }
}
