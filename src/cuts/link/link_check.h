#pragma once

#include <string>
#include <vector>

#include "cuts/link/linked_target.h"

namespace brink::cuts {

/// What trying one part of a link showed: each value that the target can have went to the
/// console's number and back.
struct LinkTrial {
  LinkPart part;
  double low = 0.0;  ///< of the values that the scale has; Hz, Q or dB
  double high = 0.0;
  double first_number = 0.0;  ///< the console's numbers for the two
  double last_number = 0.0;
  double worst = 0.0;  ///< most that a value of the target is changed: octaves of frequency and Q,
                       ///< dB of depth; 0 for the fader
  std::vector<std::string> findings;  ///< sentences: what brink will leave to the hand, and why
};

/// Tries every part, without a console.
[[nodiscard]] std::vector<LinkTrial> try_link(const LinkedTarget& linked);

}  // namespace brink::cuts
