#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "base/double_fft.h"

namespace brink::detector {

/// The impulse response of `lags` samples that best makes one sound of another: the weighted sum of
/// squares of what is missing is least. Each sample has a weight of its own, so that quiet moments
/// of what is no part of the response can count for more. The exact normal equations are solved by
/// conjugate gradients. Their products are made by transforms over all samples, and a circulant
/// preconditioner has the power of the weighted input (A. Bjorck, "Numerical Methods for Least
/// Squares Problems", SIAM 1996, 7.4; R. H. Chan, M. K. Ng, SIAM Review 38, 1996; both from
/// memory).
///
/// prepare(), then as many calls of step() as there is time for. The response stays from one
/// prepare() to the next, as a start. Each call makes about two transforms for each block of the
/// sound. A transform has twice the lags, rounded up to a power of two, and 4096 samples at least;
/// a block is what the lags leave of it. [one thread]
class WeightedFit {
 public:
  /// Lags from `first_lag` up to but not including `lags`, 1 or more.
  WeightedFit(std::size_t first_lag, std::size_t lags);

  /// `input`, `output` and `weights` (of power, 0 or more) are of equal length. They must be valid
  /// until the last step().
  void prepare(std::span<const double> input,
               std::span<const double> output,
               std::span<const double> weights);

  /// One step of conjugate gradients. Nothing is left to do when the residual is small enough.
  void step();

  /// Lag 0 first; zeros before the first lag.
  [[nodiscard]] std::span<const double> response() const noexcept { return response_; }

  /// What the response leaves of an output with this input, of equal length.
  [[nodiscard]] std::vector<double> residual(std::span<const double> input,
                                             std::span<const double> output);

  /// The largest over the smallest power of the weighted input between two frequencies, as shares
  /// of the sample rate: how well the equations are conditioned. As power.
  [[nodiscard]] double condition(double low, double high) const noexcept;

  /// From where the next prepare() starts: lag 0 first, of any length; what is missing is zero.
  void start_from(std::span<const double> response) noexcept;

 private:
  /// The transform of block `b` of a sound, with the `lags_` samples before it.
  void transform(std::span<const double> sound,
                 std::size_t b,
                 std::vector<std::complex<double>>& bins);
  void transform_response(std::span<const double> response);
  /// Leaves in block_ what the response makes of a block, after `lags_` others.
  void filter(std::span<const std::complex<double>> input_bins);
  /// The normal equations' product with `vector`, or with the output if there is none.
  void multiply(std::span<const double> vector, std::vector<double>& product);
  void find_preconditioner();
  void precondition(std::span<const double> vector, std::vector<double>& product);

  std::size_t first_;
  std::size_t lags_;
  base::DoubleFft fft_;
  std::size_t hop_;  // samples of a block
  std::span<const double> input_;
  std::span<const double> output_;
  std::span<const double> weights_;
  std::vector<double> block_;
  std::vector<std::complex<double>> bins_;
  std::vector<std::complex<double>> response_bins_;
  std::vector<std::complex<double>> sum_;
  std::vector<std::vector<std::complex<double>>> input_bins_;  // of each block
  std::vector<bool> counts_;                                   // a block with any weight
  std::vector<double> power_;                                  // of the weighted input
  std::vector<double> response_;
  std::vector<double> rest_;
  std::vector<double> easy_rest_;  // preconditioned
  std::vector<double> direction_;
  std::vector<double> product_;
  double size_ = 0.0;    // of the rest
  double enough_ = 0.0;  // then it ends
};

}  // namespace brink::detector
