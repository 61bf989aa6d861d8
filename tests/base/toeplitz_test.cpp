#include "base/toeplitz.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include "base/long_toeplitz.h"

using namespace brink::base;

namespace {

struct Solved {
  bool is_solved;
  std::vector<double> solution;
};

Solved solve(const std::vector<double>& column, const std::vector<double>& right) {
  std::vector<double> solution(column.size(), 7.0);
  std::vector<double> scratch(column.size());
  const bool is_solved = solve_toeplitz(column, right, solution, scratch);
  return {is_solved, solution};
}

}  // namespace

TEST_CASE("what a Toeplitz matrix made of a vector is solved back to that vector") {
  for (const std::size_t size : {1U, 2U, 3U, 7U, 64U}) {
    std::vector<double> column(size);
    std::vector<double> wanted(size);
    for (std::size_t k = 0; k < size; ++k) {
      const auto at = static_cast<double>(k);
      column[k] = std::exp(-0.3 * at) * std::cos(0.9 * at);  // a correlation, so positive definite
      wanted[k] = std::sin(1.7 * at + 0.2);
    }
    column[0] += 0.1;
    std::vector<double> right(size);
    for (std::size_t i = 0; i < size; ++i) {
      for (std::size_t k = 0; k < size; ++k) {
        right[i] += column[i > k ? i - k : k - i] * wanted[k];
      }
    }
    const Solved solved = solve(column, right);
    REQUIRE(solved.is_solved);
    for (std::size_t k = 0; k < size; ++k) {
      // The condition of these matrices is below 1000: rounding stays under 1e-12.
      CHECK(std::abs(solved.solution[k] - wanted[k]) < 1e-11);
    }
  }
}

TEST_CASE("the prediction of a first-order process is its coefficient alone") {
  // Correlation a^k of x[n] = a x[n - 1] + noise: the best predictor is a, then zeros.
  constexpr double kA = 0.8;
  const std::vector<double> column{1.0, kA, kA * kA, kA * kA * kA};
  const std::vector<double> right{kA, kA * kA, kA * kA * kA, kA * kA * kA * kA};
  const Solved solved = solve(column, right);
  REQUIRE(solved.is_solved);
  CHECK(solved.solution[0] == doctest::Approx(kA));
  CHECK(std::abs(solved.solution[1]) < 1e-12);
  CHECK(std::abs(solved.solution[3]) < 1e-12);
}

TEST_CASE("a matrix that is not positive definite has no solution but zeros") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const std::vector<double>& column : {std::vector<double>{0.0, 0.0},
                                            {1.0, 2.0},
                                            {1.0, -1.0},
                                            {nan, 0.0},
                                            {1.0, nan},
                                            {-1.0, 0.0}}) {
    const Solved solved = solve(column, {1.0, 1.0});
    CHECK_FALSE(solved.is_solved);
    CHECK(solved.solution == std::vector<double>{0.0, 0.0});
  }
}

TEST_CASE("conjugate gradients find what Levinson's recursion finds") {
  constexpr std::size_t kSize = 300;
  std::vector<double> column(kSize);
  std::vector<double> right(kSize);
  for (std::size_t k = 0; k < kSize; ++k) {
    const auto at = static_cast<double>(k);
    column[k] = 0.3 * std::exp(-0.02 * at) * std::cos(0.4 * at);
    right[k] = std::exp(-0.01 * at) * std::sin(0.37 * at);
  }
  column[0] += 1.0;
  const Solved wanted = solve(column, right);
  std::vector<double> solution(kSize);
  REQUIRE(LongToeplitz(kSize).solve(column, right, solution));
  double error = 0.0;
  double power = 0.0;
  for (std::size_t k = 0; k < kSize; ++k) {
    error += std::pow(solution[k] - wanted.solution[k], 2);
    power += std::pow(wanted.solution[k], 2);
  }
  // The residual of 1e-5 times the condition, about 50 here.
  CHECK(std::sqrt(error / power) < 5e-4);
}

TEST_CASE("conjugate gradients refuse a matrix that is not positive definite") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const std::vector<double>& column :
       {std::vector<double>{0.0, 0.0}, {1.0, -2.0}, {nan, 0.0}, {1.0, nan}, {-1.0, 0.0}}) {
    std::vector<double> solution(2, 7.0);
    CHECK_FALSE(LongToeplitz(2).solve(column, std::vector<double>{1.0, 1.0}, solution));
    CHECK(solution == std::vector<double>{0.0, 0.0});
  }
}
