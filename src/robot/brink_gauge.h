#pragma once

#include <span>
#include <vector>

#include "robot/known_places.h"
#include "robot/rising_rings.h"

namespace brink::robot {

/// Estimates where the brink of a ring is, from its growth at two places of the fader. Growth is
/// excess gain divided by the loop's delay. So for a ring that grows by g1 with the fader at F1 and
/// by g2 at F2, the delay is (F1 - F2) / (g1 - g2), and the brink is at F1 - g1 delay. If a ring
/// cannot be followed down, the median delay of the other rings is used. One that is lost at the
/// higher place already counts with the growth that it had.
class BrinkGauge {
 public:
  /// Takes the same rings, heard at the higher and at the lower place of the fader. Returns those
  /// that may be real, each once, the one with the lowest brink first.
  [[nodiscard]] std::vector<RangPlace> read(std::span<const RisingRing> high,
                                            double high_db,
                                            std::span<const RisingRing> low,
                                            double low_db);

 private:
  [[nodiscard]] double typical_delay_s() const;

  std::vector<double> delays_s_;  // of all rings measured so far
};

}  // namespace brink::robot
