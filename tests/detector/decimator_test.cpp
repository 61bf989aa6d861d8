#include "detector/decimator.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

using brink::detector::Decimator;

namespace {

/// Output amplitude for a full-scale sine of `cycles` per input sample, once settled, from its
/// power over 10 000 input samples; `cycles` is rounded so that they hold whole ones.
double gain_at(double cycles, double flat_to) {
  constexpr int kBlock = 100;
  Decimator decimator{kBlock, flat_to};
  cycles = std::round(cycles * 100 * kBlock) / (100 * kBlock);
  double sum_squares = 0.0;
  int counted = 0;
  std::vector<float> block(kBlock);
  for (int start = 0; start < 110 * kBlock; start += kBlock) {
    for (int n = 0; n < kBlock; ++n) {
      block[static_cast<std::size_t>(n)] =
          static_cast<float>(std::sin(2.0 * std::numbers::pi * cycles * (start + n) + 0.3));
    }
    for (const float sample : decimator.process(block)) {
      if (start >= 10 * kBlock) {
        sum_squares += static_cast<double>(sample) * static_cast<double>(sample);
        ++counted;
      }
    }
  }
  return std::sqrt(2.0 * sum_squares / counted);
}

}  // namespace

TEST_CASE("half the rate: flat as far as asked for, 80 dB down where that band folds from") {
  for (const double flat_to : {0.1, 0.2, 0.3, Decimator::kUsuallyFlatTo, Decimator::kMostFlatTo}) {
    CAPTURE(flat_to);
    const double edge = 0.5 * flat_to;  // in cycles per input sample
    for (const double share : {0.01, 0.25, 0.5, 0.75, 1.0}) {
      CHECK(std::abs(20.0 * std::log10(gain_at(share * edge, flat_to))) < 0.01);
    }
    for (const double share : {0.0, 0.1, 0.5, 0.99}) {
      CHECK(20.0 * std::log10(gain_at(0.5 - edge * (1.0 - share), flat_to)) < -80.0);
    }
  }
}

TEST_CASE("an impulse comes out delay_samples later, whatever block it falls in") {
  for (const int at : {1, 7, 33, 63}) {
    Decimator decimator{64};
    std::vector<float> output;
    for (int block_index = 0; block_index < 3; ++block_index) {
      std::vector<float> block(64, 0.0F);
      if (block_index == 0) {
        block[static_cast<std::size_t>(at)] = 1.0F;
      }
      const auto half = decimator.process(block);
      output.insert(output.end(), half.begin(), half.end());
    }
    // Only the odd input samples hit the centre tap of 1/2.
    const int centre = (at + decimator.delay_samples()) / 2;
    CHECK(static_cast<double>(output[static_cast<std::size_t>(centre)]) == doctest::Approx(0.5));
  }
}
