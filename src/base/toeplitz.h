#pragma once

#include <span>

namespace brink::base {

/// Solves T x = right, where T is the symmetric Toeplitz matrix whose first column is `column`:
/// T(i, k) = column[|i - k|]. Such systems come from autocorrelations: linear prediction, and the
/// least squares fit of an impulse response. Levinson's recursion, size^2 steps: G. H. Golub, C. F.
/// Van Loan, "Matrix Computations", algorithm 4.7.2 (from memory).
///
/// `column`, `right`, `solution` and `scratch` have one size, at least 1. No two of them overlap.
/// False, with a solution of zeros, when T is not positive definite, as with silence or NaN. [any]
[[nodiscard]] bool solve_toeplitz(std::span<const double> column,
                                  std::span<const double> right,
                                  std::span<double> solution,
                                  std::span<double> scratch) noexcept;

}  // namespace brink::base
