#include "base/vector_fft.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <random>
#include <vector>

#include "base/double_fft.h"
#include "base/error.h"

using brink::base::DoubleFft;
using brink::base::Error;
using brink::base::fast_fft_size;
using brink::base::VectorFft;

namespace {

/// Power of the difference from the double-precision transform, over the power of its bins, dB.
double rounding_db(int size) {
  std::mt19937 random{7};
  std::vector<float> samples(static_cast<std::size_t>(size));
  for (float& sample : samples) {
    sample = static_cast<float>(random() % 2001) / 1000.0F - 1.0F;
  }
  VectorFft fft{size};
  std::vector<std::complex<float>> bins(static_cast<std::size_t>(fft.bin_count()));
  fft.forward(samples, bins);
  DoubleFft exact{size};
  std::vector<std::complex<double>> exact_bins(bins.size());
  exact.forward(std::vector<double>(samples.begin(), samples.end()), exact_bins);
  double error = 0.0;
  double power = 0.0;
  for (std::size_t k = 0; k < bins.size(); ++k) {
    error += std::norm(std::complex<double>{bins[k]} - exact_bins[k]);
    power += std::norm(exact_bins[k]);
  }
  return 10.0 * std::log10(error / power);
}

}  // namespace

TEST_CASE("the vector transform equals the double one but for rounding") {
  // Every radix that KissFFT has a butterfly for (2, 3, 4, 5), the least size, and the detector's.
  for (const int size : {16, 24, 32, 40, 96, 240, 960, 1024, 2048, 3840, 4096}) {
    CAPTURE(size);
    CHECK(rounding_db(size) < -130.0);
  }
}

TEST_CASE("a vector transform of another size is refused, fast sizes are taken and enough") {
  for (const int size : {0, 8, 12, 30, 56, 1764}) {
    CHECK_THROWS_AS(VectorFft{size}, Error);
  }
  CHECK_THROWS_WITH_AS(
      VectorFft{15},
      "a fast transform takes a multiple of 8, at least 16, made of factors 2, 3 and 5; got 15",
      Error);
  for (int least = 2; least < 3000; least += 97) {
    CHECK(fast_fft_size(least) >= least);
    CHECK(VectorFft{fast_fft_size(least)}.bin_count() == fast_fft_size(least) / 2 + 1);
  }
}
