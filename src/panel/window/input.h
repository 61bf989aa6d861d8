#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/at_release.h"

namespace brink::panel {

enum class Key : std::uint8_t {
  kCharacter,  ///< a letter, digit, sign or blank, in any keyboard layout
  kUp,
  kDown,
  kLeft,
  kRight,
  kEnter,
  kEscape,
  kTab,
  kBackspace,
  kDelete,
  kPageUp,
  kPageDown,
  kHome,
  kEnd,
  kF11,
  kF12,
};

/// One press of a key. Presses are queued, so a key that is released before the next pass still
/// counts.
struct Press {
  Key key = Key::kCharacter;
  char32_t character = 0;  ///< for kCharacter: which one
  bool has_shift = false;
  bool is_repeat = false;
};

/// What the user did since the last pass.
struct Input {
  std::vector<Press> presses;
  bool is_space_held = false;
  base::AtRelease at_space_release;  ///< of a Space that is held
  bool has_focus = true;
  std::vector<std::string> dropped_files;
};

}  // namespace brink::panel
