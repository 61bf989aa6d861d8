#pragma once

#include <string>

#include "detector/ring.h"

namespace brink::show {

/// "+35 dB/s"; slow growth has one decimal.
[[nodiscard]] std::string growth_words(double growth_db_per_s);

/// What is shown of a ring that is heard. State (by its word, colour and shape) and growth never
/// say the contrary of each other: a ring may turn before the detector's state does, and then what
/// it does now is shown.
struct RingWords {
  detector::RingState state = detector::RingState::kBuilding;
  std::string growth;  ///< "+35 dB/s", "steady"; empty: nothing to tell, or it is gone
  bool is_urgent =
      false;  ///< certain, and near the limit or rising fast: the fader goes down first
};

[[nodiscard]] RingWords ring_words(const detector::Ring& ring);

}  // namespace brink::show
