#pragma once

#include <string>
#include <vector>

#include "ear/guess_result.h"

namespace brink::panel {

/// What a locked guess came to, a line each: the verdict, how far off and to which side, an octave
/// slip where there is one, and what the guessed cut would have done.
struct GuessWords {
  std::string verdict;  ///< ear::verdict()
  std::string answer;   ///< "it was 1.03 kHz (C6 -16 c)"
  std::vector<std::string> lines;
};

[[nodiscard]] GuessWords guess_words(const ear::GuessResult& result, bool by_note);

}  // namespace brink::panel
