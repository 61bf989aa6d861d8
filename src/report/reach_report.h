#pragma once

#include <string>

#include "loop/reach.h"

namespace brink::report {

/// A question to loop::reach(), with its unit.
struct ReachQuestion {
  loop::ReachSetup setup;
  std::string unit = "m";  ///< of every distance: "m" or "ft"
};

/// "It works, with 3.3 dB to spare." It says that the system will feed back only if more than the
/// margin is missing.
[[nodiscard]] std::string reach_sentence(const loop::Reach& reach);

/// "closer microphone: 0.15 m instead of 0.3 m; enough by itself at 0.2 m".
[[nodiscard]] std::string move_sentence(const loop::MoveGain& move, const std::string& unit);

/// {"schema":"brink/reach/1",...} on one line.
[[nodiscard]] std::string reach_json(const ReachQuestion& question, const loop::Reach& reach);

/// The same for people: whether it works, by how much, and which move helps most.
[[nodiscard]] std::string reach_text(const ReachQuestion& question, const loop::Reach& reach);

}  // namespace brink::report
