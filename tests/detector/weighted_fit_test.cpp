#include "detector/forecast/weighted_fit.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "support/sounds.h"

using brink::detector::WeightedFit;

namespace {

std::vector<double> noise(std::size_t count, unsigned seed) {
  const auto samples =
      brink::tests::white_noise(static_cast<double>(count) / 8000.0, 8000.0, -20.0, seed);
  return {samples.begin(), samples.begin() + static_cast<std::ptrdiff_t>(count)};
}

std::vector<double> through(const std::vector<double>& sound, const std::vector<double>& response) {
  std::vector<double> made(sound.size());
  for (std::size_t n = 0; n < sound.size(); ++n) {
    for (std::size_t k = 0; k <= std::min(n, response.size() - 1); ++k) {
      made[n] += response[k] * sound[n - k];
    }
  }
  return made;
}

/// The weighted normal equations, summed sample by sample and solved by elimination.
std::vector<double> solved(const std::vector<double>& input,
                           const std::vector<double>& output,
                           const std::vector<double>& weights,
                           std::size_t first,
                           std::size_t lags) {
  const std::size_t size = lags - first;
  std::vector<std::vector<double>> rows(size, std::vector<double>(size + 1));
  for (std::size_t n = 0; n < input.size(); ++n) {
    const auto past = [&](std::size_t k) { return n >= first + k ? input[n - first - k] : 0.0; };
    for (std::size_t i = 0; i < size; ++i) {
      for (std::size_t j = 0; j < size; ++j) {
        rows[i][j] += weights[n] * past(i) * past(j);
      }
      rows[i][size] += weights[n] * past(i) * output[n];
    }
  }
  for (std::size_t i = 0; i < size; ++i) {
    for (std::size_t j = 0; j < size; ++j) {
      const double factor = i == j ? 0.0 : rows[j][i] / rows[i][i];
      for (std::size_t k = 0; k <= size; ++k) {
        rows[j][k] -= factor * rows[i][k];
      }
    }
  }
  std::vector<double> response(lags);
  for (std::size_t i = 0; i < size; ++i) {
    response[first + i] = rows[i][size] / rows[i][i];
  }
  return response;
}

void take_steps(WeightedFit& fit, int count) {
  for (int step = 0; step < count; ++step) {
    fit.step();
  }
}

}  // namespace

TEST_CASE("the weighted fit solves the normal equations, whatever the blocks of its transforms") {
  constexpr std::size_t kSamples = 10000;  // three blocks, the last not full
  const std::vector<double> input = noise(kSamples, 1);
  std::vector<double> output = through(input, {0.0, 0.0, 0.5, -0.3, 0.2, 0.0, 0.1, 0.05});
  const std::vector<double> other = noise(kSamples, 2);
  std::vector<double> weights(kSamples);
  for (std::size_t n = 0; n < kSamples; ++n) {
    output[n] += 0.5 * other[n];
    weights[n] = n / 700 % 3 == 0 ? 0.0 : static_cast<double>(n % 100);
  }
  const auto truth = solved(input, output, weights, 2, 8);
  WeightedFit fit(2, 8);
  fit.prepare(input, output, weights);
  take_steps(fit, 20);
  for (std::size_t k = 0; k < truth.size(); ++k) {
    CHECK(std::abs(fit.response()[k] - truth[k]) < 1e-4);  // it ends at 1e-4 of what is sought
  }
  const auto left = fit.residual(input, output);
  const auto made = through(input, {fit.response().begin(), fit.response().end()});
  for (std::size_t n = 0; n < kSamples; ++n) {
    CHECK(std::abs(left[n] - (output[n] - made[n])) < 1e-12);
  }
}

TEST_CASE("a moment without weight does not count") {
  constexpr std::size_t kSamples = 9000;
  const std::vector<double> input = noise(kSamples, 3);
  const std::vector<double> response{0.3, 0.0, -0.2, 0.1};
  std::vector<double> output = through(input, response);
  std::vector<double> weights(kSamples, 1.0);
  const std::vector<double> loud = noise(kSamples, 4);
  for (std::size_t n = 1000; n < 8000; ++n) {
    output[n] += 100.0 * loud[n];
    weights[n] = 0.0;
  }
  WeightedFit fit(0, 4);
  fit.prepare(input, output, weights);
  take_steps(fit, 20);
  for (std::size_t k = 0; k < response.size(); ++k) {
    CHECK(std::abs(fit.response()[k] - response[k]) < 1e-4);
  }
}

TEST_CASE("a fit goes on from where it is told, and silence makes nothing") {
  const std::vector<double> input = noise(5000, 5);
  const std::vector<double> response{0.3, -0.2, 0.1};
  const std::vector<double> output = through(input, response);
  const std::vector<double> weights(5000, 1.0);
  WeightedFit fit(0, 3);
  fit.start_from(response);
  fit.prepare(input, output, weights);
  take_steps(fit, 3);
  for (std::size_t k = 0; k < response.size(); ++k) {
    CHECK(std::abs(fit.response()[k] - response[k]) < 1e-9);
  }
  const std::vector<double> silence(5000);
  fit.start_from({});
  fit.prepare(silence, silence, weights);
  take_steps(fit, 3);
  CHECK(std::all_of(
      fit.response().begin(), fit.response().end(), [](double tap) { return tap == 0.0; }));
}
