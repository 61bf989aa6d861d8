#pragma once

#include "detector/places.h"
#include "detector/scales.h"
#include "detector/sounding_rings.h"

namespace brink::detector {

/// How much evidence a ring needs to be flagged, and to stay in a report. In nat-seconds, as
/// Evidence sums it. [analysis]
class Certainty {
 public:
  /// `sure`: a ring needs the evidence for this confidence, too; 0 to 0.99.
  explicit Certainty(double sure);

  /// Once per hop, before anything is judged. Counts the lines that music holds; while a ring
  /// sounds (`is_ringing`) they may be the ring's own, and are not counted.
  void hear(const Scales& scales, bool is_ringing) noexcept;

  /// The evidence at which `sounding` is flagged. `place`: where its frequency was flagged before,
  /// or nullptr.
  [[nodiscard]] float needed(const SoundingRing& sounding, const Place* place) const noexcept;

  /// Whether `evidence`, the most that a ring had, is enough for one that ends `since_flag_s` after
  /// its flag. One that is cut at once has no time for more.
  [[nodiscard]] static bool is_borne_out(float evidence, double since_flag_s) noexcept;

 private:
  [[nodiscard]] float needed_beside_music(const SoundingRing& sounding) const noexcept;

  float usual_;
  float held_lines_ = 0.0F;  ///< on average over the last seconds without a ring
};

}  // namespace brink::detector
