#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <vector>

#include "detector/forecast/weighted_fit.h"

namespace brink::detector {

/// What two taps tell of a loop. Impulse responses, lag 0 first.
struct TwoTapEstimate {
  /// From the microphone's tap to the feed's: the console.
  std::vector<double> console;
  /// From the other programme in the feed to the microphone, with the loop closed.
  std::vector<double> closed_path;
  /// The same from each half of the sound alone, its stretches in turn.
  std::array<std::vector<double>, 2> halves;
  /// How loud the microphone is in the feed in each stretch, over what `console` says.
  std::vector<double> stretch_gains_db;
  double other_db = 0.0;   ///< other programme over the microphone's part, in the feed
  double coherence = 0.0;  ///< share of the microphone's weighted power that closed_path makes
  double condition = 1.0;  ///< WeightedFit::condition() of closed_path
};

/// Estimates a loop from its microphone's tap x and from the tap y of the feed of its loudspeaker:
///   x = v + path * y,    y = console * x + r.
/// The feed's other programme r (music from a player, another microphone) is what tells the path
/// apart from the microphone's own programme v. First the console is fitted, and r is what it
/// leaves. Then x is fitted from r: the closed path, path / (1 - console path), without the bias
/// of a direct fit from y, as r has nothing of v (U. Forssell, L. Ljung, "Closed-loop
/// identification revisited", Automatica 35, 1999, the two-stage method; from memory). In both fits
/// the colour of what is no part of the answer is taken out first (A. Spriet et al., IEEE Trans.
/// Signal Process. 53(10), 2005), and each moment weighs by the inverse of its power: while v
/// pauses, the path is nearly free to see.
///
/// Stated biases: what reaches the microphone from r's source through the air, and what the console
/// adds later than kConsoleS, is taken for loop. Where r is silent, nothing is told. [analysis]
class TwoTapEstimator {
 public:
  /// `sample_rate_hz`: 8000 to 32000; a stretch of `stretch_samples` goes to one of the halves.
  TwoTapEstimator(double sample_rate_hz, std::size_t stretch_samples);

  /// Starts an estimate. Both taps are of equal length; they are copied. The last estimate is where
  /// this one starts from. `first_stretch`: the number of the first one, so that each stays in its
  /// half.
  void begin(std::span<const float> microphone,
             std::span<const float> feed,
             std::size_t first_stretch = 0);

  /// A piece of the work, up to about 100 ms for 30 s of sound. True when the estimate is done.
  [[nodiscard]] bool work();

  [[nodiscard]] const TwoTapEstimate& estimate() const noexcept { return estimate_; }

  /// The next estimate starts from nothing.
  void forget() noexcept;

  static constexpr double kConsoleS = 0.01;
  static constexpr int kPieces = 40;  ///< calls of work() for an estimate, about

 private:
  void fit_console();
  void find_stretch_gains();
  void prepare_path();
  void prepare_half(std::size_t half);
  void finish_path();

  double sample_rate_hz_;
  std::size_t stretch_samples_;
  WeightedFit console_;
  WeightedFit path_;
  std::vector<double> microphone_;
  std::vector<double> feed_;
  std::vector<double> other_;  // r, as far as it is known
  std::vector<double> own_;    // what the closed path leaves of the microphone
  std::vector<double> white_in_;
  std::vector<double> white_out_;
  std::vector<double> weights_;
  std::vector<double> half_weights_;
  std::size_t first_stretch_ = 0;
  int piece_ = 0;
  TwoTapEstimate estimate_;
};

}  // namespace brink::detector
