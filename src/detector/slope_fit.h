#pragma once

#include <span>
#include <vector>

namespace brink::detector {

/// Best slope of a straight line through looks that share samples: one look per hop, each through a
/// Hann window, in white noise. Applied to the phases of a track it gives the frequency, to its
/// levels the growth.
///
/// Neighbouring looks overlap, so their noise is correlated as the window's own autocorrelation; an
/// ordinary least-squares line ignores that and reads up to 1.9 times worse than the Cramer-Rao
/// bound. The weights here are generalised least squares (A. C. Aitken, "On least squares and
/// linear combination of observations", 1935) with that correlation plus kOwnNoise in each look
/// alone, which keeps the weights small where the correlation matrix is nearly singular.
/// Constructing allocates, the rest does not. [any]
class SlopeFit {
 public:
  /// `max_looks` >= 2; hop and window as of the Spectrum that took the looks.
  SlopeFit(int window_samples, int hop_samples, int max_looks);

  /// Weights for a line through the newest `looks` (2 to max_looks) looks, newest first:
  /// slope per hop = sum over back of weights[back] * look(back). They sum to 0.
  [[nodiscard]] std::span<const float> weights(int looks) const noexcept;

  /// Standard deviation of that slope per hop when one look has a standard deviation of 1.
  [[nodiscard]] float deviation(int looks) const noexcept;

 private:
  std::vector<float> weights_;  ///< those for 2 looks, for 3, ... one after another
  std::vector<float> deviations_;
};

}  // namespace brink::detector
