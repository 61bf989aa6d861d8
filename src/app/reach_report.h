#pragma once

#include <string>

#include "loop/reach.h"

namespace brink::app {

struct ReachQuestion {
  loop::ReachSetup setup;
  std::string unit = "m";  ///< of every distance: "m" or "ft"
};

/// {"schema":"brink/reach/1",...} in one line.
[[nodiscard]] std::string reach_json(const ReachQuestion& question, const loop::Reach& reach);

/// The same for people: does it work, by how much, and which move helps most.
[[nodiscard]] std::string reach_text(const ReachQuestion& question, const loop::Reach& reach);

}  // namespace brink::app
