#include "base/double_fft.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <vector>

#include "base/error.h"

using brink::base::DoubleFft;
using brink::base::Error;

TEST_CASE("the double transform equals a naive DFT, and the inverse gives the samples back") {
  std::mt19937 random{7};
  for (const int size : {4, 16, 60, 96, 240, 1024}) {
    std::vector<double> samples(static_cast<std::size_t>(size));
    for (double& sample : samples) {
      sample = static_cast<double>(random() % 2001) / 1000.0 - 1.0;
    }
    DoubleFft fft{size};
    std::vector<std::complex<double>> bins(static_cast<std::size_t>(fft.bin_count()));
    fft.forward(samples, bins);
    for (int k = 0; k < fft.bin_count(); ++k) {
      std::complex<double> sum{};
      for (int n = 0; n < size; ++n) {
        sum += samples[static_cast<std::size_t>(n)] *
               std::polar(1.0, -2.0 * std::numbers::pi * ((k * n) % size) / size);
      }
      // Double precision: rounding of about 1e-16 times the root of the size.
      CHECK(std::abs(bins[static_cast<std::size_t>(k)] - sum) < 1e-11);
    }
    std::vector<double> back(samples.size());
    fft.inverse(bins, back);
    for (std::size_t n = 0; n < samples.size(); ++n) {
      CHECK(std::abs(back[n] / size - samples[n]) < 1e-13);
    }
  }
}

TEST_CASE("a double transform of another size is refused with a sentence") {
  for (const int size : {0, 2, 6, 15, 28}) {
    CHECK_THROWS_AS(DoubleFft{size}, Error);
  }
}
