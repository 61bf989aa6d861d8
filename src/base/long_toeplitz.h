#pragma once

#include <complex>
#include <span>
#include <vector>

#include "base/double_fft.h"

namespace brink::base {

/// What solve_toeplitz() solves, for thousands of unknowns: by conjugate gradients, whose products
/// are made by transforms. It ends at a relative residual of 1e-5, or after 40 steps: what is then
/// missing is what the matrix tells least about, and is better left out. Source: R. H. Chan, M. K.
/// Ng, "Conjugate gradient methods for Toeplitz systems", SIAM Review 38, 1996 (from memory). [one
/// thread]
class LongToeplitz {
 public:
  /// `size`: of the systems, 2 or more.
  explicit LongToeplitz(std::size_t size);

  /// Spans as for solve_toeplitz(). False, with a solution of zeros, when the matrix shows that it
  /// is not positive definite, as with silence or NaN.
  [[nodiscard]] bool solve(std::span<const double> column,
                           std::span<const double> right,
                           std::span<double> solution);

 private:
  void multiply(std::span<const double> vector, std::span<double> product);

  std::size_t size_;
  DoubleFft fft_;
  std::vector<double> circle_;  // the matrix in a circulant one, or a vector in its circle
  std::vector<std::complex<double>> matrix_bins_;
  std::vector<std::complex<double>> bins_;
};

}  // namespace brink::base
