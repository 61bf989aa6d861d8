#pragma once

#include <optional>
#include <string>

#include "report/loop_gain.h"

namespace brink::report {

/// Whether a loop's response can be planned on.
struct LoopTrust {
  /// How far each second point is from what its four nearest others say (a cubic through them),
  /// over the points' own size, root mean square by power: near 0 when the points follow the loop,
  /// about 1 and more when they have nothing to do with each other.
  double surprise = 0.0;
  /// Mean group delay by power, as far as the points resolve it.
  double delay_s = 0.0;
  /// How much of the power agrees on that, 0 to 1.
  double agreement = 0.0;
};

[[nodiscard]] LoopTrust loop_trust(const EvenGain& loop);

/// From here on there is a warning; and from here on a refusal. Chosen, not fitted:
/// bench_plan_trust prints what plans keep at every surprise.
inline constexpr double kDoubtfulSurprise = 0.15;
inline constexpr double kWrongSurprise = 0.5;

/// A sentence to warn with, or nothing. Throws base::Error when the points are too far apart to
/// plan on, or when the phase rises with frequency, as if the sound came back before it was sent:
/// then its sign is the other one. `name` stands for the file in messages.
[[nodiscard]] std::optional<std::string> check_trust(const EvenGain& loop, const std::string& name);

}  // namespace brink::report
