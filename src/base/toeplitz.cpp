#include "base/toeplitz.h"

#include <algorithm>
#include <array>

namespace brink::base {
namespace {

/// sum of a[k] * b[count - 1 - k]. Four sums at a time, which the compiler may keep side by side.
double dot_reversed(const double* a, const double* b, std::size_t count) noexcept {
  std::array<double, 4> sums{};
  std::size_t k = 0;
  for (; k + 4 <= count; k += 4) {
    for (std::size_t lane = 0; lane < 4; ++lane) {
      sums[lane] += a[k + lane] * b[count - 1 - k - lane];
    }
  }
  for (; k < count; ++k) {
    sums[0] += a[k] * b[count - 1 - k];
  }
  return sums[0] + sums[1] + sums[2] + sums[3];
}

}  // namespace

bool solve_toeplitz(std::span<const double> column,
                    std::span<const double> right,
                    std::span<double> solution,
                    std::span<double> scratch) noexcept {
  std::fill(solution.begin(), solution.end(), 0.0);
  if (!(column[0] > 0.0)) {
    return false;
  }
  // `scratch` holds the predictor a: it solves the leading system for -column[1 ..].
  double error = column[0];
  solution[0] = right[0] / error;
  for (std::size_t n = 1; n < column.size(); ++n) {
    // The predictor of order n, from that of order n - 1.
    const double reflection =
        -(column[n] + dot_reversed(scratch.data(), column.data() + 1, n - 1)) / error;
    for (std::size_t k = 0; 2 * k < n - 1; ++k) {
      const std::size_t other = n - 2 - k;
      const double low = scratch[k];
      const double high = scratch[other];
      scratch[k] = low + reflection * high;
      scratch[other] = high + reflection * low;
    }
    scratch[n - 1] = reflection;
    error *= 1.0 - reflection * reflection;
    if (!(error > 0.0)) {
      std::fill(solution.begin(), solution.end(), 0.0);
      return false;
    }
    // The solution of size n + 1.
    const double step = (right[n] - dot_reversed(solution.data(), column.data() + 1, n)) / error;
    for (std::size_t k = 0; k < n; ++k) {
      solution[k] += step * scratch[n - 1 - k];
    }
    solution[n] = step;
  }
  return true;
}

}  // namespace brink::base
