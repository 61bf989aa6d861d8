#include "detector/slope_fit.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>
#include <vector>

#include "base/window.h"

using brink::detector::SlopeFit;

namespace {

constexpr int kWindow = 1024;
constexpr int kHop = 48;

/// Variance of the slope per hop when white noise of variance 1 per sample goes through the windows
/// at these weights: the sample noise seen by the whole sum, worked out sample by sample.
double slope_variance(std::span<const float> weights) {
  const std::vector<float> window = brink::base::hann_window(kWindow);
  const std::size_t samples = kWindow + (weights.size() - 1) * kHop;
  std::vector<double> reach(samples);
  for (std::size_t back = 0; back < weights.size(); ++back) {
    const std::size_t start = samples - kWindow - back * kHop;
    for (std::size_t n = 0; n < kWindow; ++n) {
      reach[start + n] += static_cast<double>(weights[back]) * static_cast<double>(window[n]);
    }
  }
  const double window_sum = kWindow / 2.0;
  return std::inner_product(reach.begin(), reach.end(), reach.begin(), 0.0) /
         (window_sum * window_sum);
}

/// Cramer-Rao bound of a slope per hop over all those samples, noise variance 1: 1 / sum (n -
/// mean)^2 per sample, n(n^2 - 1) / 12 (Kay, "Fundamentals of Statistical Signal Processing", 1993,
/// from memory; the sum itself is elementary).
double bound_variance(std::size_t looks) {
  const auto n = static_cast<double>(kWindow + (looks - 1) * kHop);
  return 12.0 / (n * (n * n - 1.0)) * kHop * kHop;
}

}  // namespace

TEST_CASE("the weights read any straight line exactly and leave a constant out") {
  const SlopeFit fit{kWindow, kHop, 60};
  for (const int looks : {2, 3, 12, 60}) {
    const auto weights = fit.weights(looks);
    REQUIRE(weights.size() == static_cast<std::size_t>(looks));
    double constant = 0.0;
    double slope = 0.0;
    for (std::size_t back = 0; back < weights.size(); ++back) {
      const auto weight = static_cast<double>(weights[back]);
      constant += weight;
      slope += weight * (7.0 - 0.25 * static_cast<double>(back));
    }
    CHECK(std::abs(constant) < 1e-6);  // single-precision weights near 1
    CHECK(slope == doctest::Approx(0.25).epsilon(1e-5));
  }
}

TEST_CASE("in white noise the slope comes within 1.5 times the Cramer-Rao bound from 8 looks on") {
  const SlopeFit fit{kWindow, kHop, 128};
  for (const int looks : {8, 12, 18, 27, 40, 60, 90, 128}) {
    const double ratio = std::sqrt(slope_variance(fit.weights(looks)) /
                                   bound_variance(static_cast<std::size_t>(looks)));
    CAPTURE(looks);
    CHECK(ratio >= 1.0);  // no linear estimator can beat it: the instrument is sound
    CHECK(ratio < 1.5);
  }
}

TEST_CASE("the deviation says what white noise does to the slope") {
  const SlopeFit fit{kWindow, kHop, 60};
  const double look_variance = 1.5 / kWindow;  // a Hann window: sum w^2 / (sum w)^2 = 1.5 / size
  for (const int looks : {2, 12, 60}) {
    const double deviation = std::sqrt(slope_variance(fit.weights(looks)) / look_variance);
    // deviation() also counts the looks' own noise, 0.3 % of the power: never less, little more.
    CHECK(static_cast<double>(fit.deviation(looks)) >= deviation);
    CHECK(static_cast<double>(fit.deviation(looks)) < 1.35 * deviation);
  }
}
