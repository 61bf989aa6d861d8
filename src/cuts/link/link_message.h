#pragma once

#include <cstdint>

#include "cuts/link/link.h"

namespace brink::cuts {

/// A message to the console.
struct LinkMessage {
  enum class Kind : std::uint8_t { kAsk, kSet, kKeepAlive };

  Kind kind = Kind::kAsk;
  LinkPart part;        ///< of kKeepAlive meaningless
  double number = 0.0;  ///< of kSet; the part is then never the fader
};

}  // namespace brink::cuts
