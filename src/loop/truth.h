#pragma once

#include <optional>
#include <span>
#include <vector>

#include "loop/open_loop.h"
#include "loop/stage.h"

namespace brink::loop {

/// Where a time has not come.
inline constexpr double kNeverS = -1.0;

/// One whole-turn frequency of the loop that came within kNearBrinkDb of the brink while the plan
/// ran.
struct NearBrink {
  /// Where it was at one moment. It moves when the microphone or the equaliser does.
  struct Moment {
    double time_s = 0.0;
    double frequency_hz = 0.0;
    double gain_db = 0.0;  ///< of the open loop there; above 0 the loop is unstable
  };

  Moment highest;                   ///< its first moment of most gain
  double unstable_s = kNeverS;      ///< when its gain first passed the brink
  double stable_again_s = kNeverS;  ///< since when it has stayed below, if it did until the end
  double low_hz = 0.0;  ///< where it went while unstable, or while near when it never was
  double high_hz = 0.0;
  std::optional<Pole> pole;  ///< at its highest: what it rings at and how fast it grows
  std::vector<Moment> path;  ///< every kTruthStepS while within reach
};

/// From a moment on, the plan's gain at which the loop would stand on its brink.
struct StableGain {
  double from_s = 0.0;
  double gain_db = 0.0;
};

struct LoopTruth {
  std::vector<NearBrink> near_brink;    ///< rising in frequency
  std::vector<StableGain> stable_gain;  ///< first and last place of the microphone, each equaliser;
                                        ///< empty when nothing comes back to the microphone
};

inline constexpr double kNearBrinkDb = 3.0;
inline constexpr double kTruthStepS = 0.005;

/// The loop's own truth over `length_s` of its plan, from its transfer function alone: nothing is
/// listened to. The fader and set_equaliser, which no plan knows, count as untouched. Between its
/// two places the microphone's response is the mixture that the stage hears, in 64 steps; a change
/// of the equaliser counts from the middle of its fade.
[[nodiscard]] LoopTruth loop_truth(const StageConfig& config, double length_s);

/// The whole way around the loop as one impulse response: console delay, then the way through the
/// air at a position of the microphone, 0 to 1.
[[nodiscard]] std::vector<double> loop_taps(const StageConfig& config, double position);

}  // namespace brink::loop
