#include "base/fft.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <vector>

#include "base/error.h"

using brink::base::Error;
using brink::base::Fft;

namespace {

std::vector<float> noise(int count) {
  std::mt19937 random{7};
  std::vector<float> samples(static_cast<std::size_t>(count));
  for (float& sample : samples) {
    sample = static_cast<float>(random() % 2001) / 1000.0F - 1.0F;
  }
  return samples;
}

}  // namespace

TEST_CASE("the transform equals a naive DFT") {
  for (const int size : {2, 16, 30, 96, 240}) {
    const std::vector<float> samples = noise(size);
    Fft fft{size};
    std::vector<std::complex<float>> bins(static_cast<std::size_t>(fft.bin_count()));
    fft.forward(samples, bins);
    for (int k = 0; k < fft.bin_count(); ++k) {
      std::complex<double> sum{};
      for (int n = 0; n < size; ++n) {
        sum += static_cast<double>(samples[static_cast<std::size_t>(n)]) *
               std::polar(1.0, -2.0 * std::numbers::pi * k * n / size);
      }
      // Single precision: errors grow like the square root of the size, here under 1e-4.
      CHECK(std::abs(std::complex<double>{bins[static_cast<std::size_t>(k)]} - sum) < 1e-4);
    }
  }
}

TEST_CASE("odd and empty transforms are refused with a sentence") {
  CHECK_THROWS_AS(Fft{0}, Error);
  CHECK_THROWS_WITH_AS(
      Fft{15}, "a transform takes an even number of samples, at least 2; got 15", Error);
}
