#pragma once

#include <span>
#include <vector>

#include "robot/known_places.h"
#include "robot/rising_rings.h"

namespace brink::robot {

/// Tells from growth at two places of the fader where between or beside them a ring's brink lies:
/// growth is excess gain over the loop's delay, so a ring that grows by g1 with the fader at F1 and
/// by g2 at F2 has the delay (F1 - F2) / (g1 - g2) and its brink at F1 - g1 delay. Where a ring
/// cannot be followed down, the median delay of those that could stands for its own.
class BrinkGauge {
 public:
  /// The same rings, heard at the higher place of the fader and at the lower. Those that may be
  /// real come back, once each, the one with the lowest brink first.
  [[nodiscard]] std::vector<RangPlace> read(std::span<const RisingRing> high,
                                            double high_db,
                                            std::span<const RisingRing> low,
                                            double low_db);

 private:
  [[nodiscard]] double typical_delay_s() const;

  std::vector<double> delays_s_;  // of all rings so far
};

}  // namespace brink::robot
