#pragma once

#include <cstddef>
#include <cstdint>

#include "cuts/loop_gain.h"
#include "cuts/shape.h"

namespace brink::cuts {

/// How near to the brink a loop is with an equaliser in it, kept up to date filter by filter: a
/// search asks this many thousand times. One thread at a time.
///
/// The level is soft: a power mean of all crossings, 10/p log10(sum of |L|^(2p)), which rewards a
/// cut for every high crossing that it lowers and not for the highest alone; as p grows it becomes
/// the highest crossing.
class Score {
 public:
  virtual ~Score() = default;

  /// What kHardest stands for: the highest crossing alone.
  static constexpr int kHardest = -1;

  /// p as 2^doublings, 0 to 5, or kHardest.
  virtual void set_sharpness(int doublings) = 0;
  /// The soft level's power (|L|^2) if slot `index` were `now`. Infinity as soon as it is known, or
  /// foreseen from how the crossings would move, to exceed `limit_power`.
  [[nodiscard]] virtual double try_change(std::size_t index,
                                          const Shape& now,
                                          double limit_power) = 0;
  /// Makes the change that was tried last; its try must have come back finite.
  virtual void make_change() = 0;
  /// The soft level's power as things stand.
  [[nodiscard]] virtual double soft_power() const = 0;
  /// The highest crossing as things stand.
  [[nodiscard]] virtual Crossing highest() const = 0;

  /// What has been worked so far, in a unit that takes about the same time everywhere (30 ns on the
  /// machine at hand): a search can spend a fixed time without a clock.
  [[nodiscard]] std::int64_t work() const { return worked; }

 protected:
  Score() = default;
  Score(const Score&) = default;
  Score& operator=(const Score&) = default;
  Score(Score&&) = default;
  Score& operator=(Score&&) = default;

  std::int64_t worked = 0;  ///< as work() tells it
};

}  // namespace brink::cuts
