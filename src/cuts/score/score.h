#pragma once

#include <cstddef>
#include <cstdint>

#include "cuts/loop_gain.h"
#include "cuts/shape.h"

namespace brink::cuts {

/// How near to the brink a loop is with an equaliser in it. It is updated filter by filter, because
/// a search asks for it many thousand times. One thread at a time.
///
/// The level is soft: a power mean of all crossings, 10/p log10(sum of |L|^(2p)). So a cut is
/// rewarded for every high crossing that it lowers, not only for the highest. As p grows, the mean
/// becomes the level of the highest crossing.
class Score {
 public:
  virtual ~Score() = default;

  /// Sharpness that counts the highest crossing alone.
  static constexpr int kHardest = -1;

  /// Sets p to 2^doublings, 0 to 5, or to the highest crossing alone with kHardest.
  virtual void set_sharpness(int doublings) = 0;
  /// The soft level's power (|L|^2) if slot `index` were set to `now`. Infinity when this exceeds
  /// `limit_power`. That may be decided early, from how the crossings would move.
  [[nodiscard]] virtual double try_change(std::size_t index,
                                          const Shape& now,
                                          double limit_power) = 0;
  /// Makes the change that was tried last. Its try must have returned a finite value.
  virtual void make_change() = 0;
  /// The present soft level's power.
  [[nodiscard]] virtual double soft_power() const = 0;
  /// The present highest crossing.
  [[nodiscard]] virtual Crossing highest() const = 0;

  /// Work done so far. One unit takes about the same time in every score (30 ns on the machine used
  /// for development). With it a search can spend a fixed time without a clock.
  [[nodiscard]] std::int64_t work() const { return worked; }

 protected:
  Score() = default;
  Score(const Score&) = default;
  Score& operator=(const Score&) = default;
  Score(Score&&) = default;
  Score& operator=(Score&&) = default;

  std::int64_t worked = 0;  ///< the value of work()
};

}  // namespace brink::cuts
