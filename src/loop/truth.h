#pragma once

#include <optional>
#include <span>
#include <vector>

#include "loop/open_loop.h"
#include "loop/stage.h"

namespace brink::loop {

/// Stands for a time that never came.
inline constexpr double kNeverS = -1.0;

/// One whole-turn frequency of the loop that came within kNearBrinkDb of the brink while the plan
/// ran.
struct NearBrink {
  /// Its state at one moment. Its frequency moves when the microphone or the equaliser does.
  struct Moment {
    double time_s = 0.0;
    double frequency_hz = 0.0;
    double gain_db = 0.0;  ///< of the open loop there; above 0 the loop is unstable
  };

  Moment highest;               ///< the first moment with the highest gain
  double unstable_s = kNeverS;  ///< when its gain first passed the brink
  /// When it went below the brink for good; kNeverS if it never did.
  double stable_again_s = kNeverS;
  double low_hz = 0.0;  ///< lowest frequency while unstable; if it never was, while near the brink
  double high_hz = 0.0;
  std::optional<Pole> pole;  ///< at its highest gain: the tone it rings at, and its growth
  std::vector<Moment> path;  ///< every kTruthStepS, while near enough to follow
};

/// From a moment on, the gain of the plan at which the loop is on its brink.
struct StableGain {
  double from_s = 0.0;
  double gain_db = 0.0;
};

/// What the loop itself did while its plan ran.
struct LoopTruth {
  std::vector<NearBrink> near_brink;  ///< rising in frequency
  /// One for each place of the microphone, first and last, with each equaliser; empty when nothing
  /// comes back to the microphone.
  std::vector<StableGain> stable_gain;
};

inline constexpr double kNearBrinkDb = 3.0;
inline constexpr double kTruthStepS = 0.005;

/// The truth about the loop over `length_s` of its plan. It comes from the transfer function alone;
/// no sound is analysed. The fader and set_equaliser() are taken as untouched, since no plan knows
/// them. Between its two places the microphone's response is the mixture that the stage hears, in
/// 64 steps. A change of the equaliser counts from the middle of its fade.
[[nodiscard]] LoopTruth loop_truth(const StageConfig& config, double length_s);

/// Once around the loop as one impulse response: console delay, then the air from loudspeaker to
/// microphone. `position` of the microphone: 0 to 1.
[[nodiscard]] std::vector<double> loop_taps(const StageConfig& config, double position);

}  // namespace brink::loop
