#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "cuts/planner.h"
#include "cuts/search.h"

namespace brink::cuts {

/// Level of the highest crossing with an equaliser in it, whatever loop or model stands behind.
using LevelOf = std::function<double(const Setting&)>;

[[nodiscard]] std::vector<Move> to_moves(const Setting& setting);

/// Level of a whole setting at one frequency, dB.
[[nodiscard]] double level_at(const Setting& setting, double frequency_hz, double sample_rate_hz);

/// What moves are worth on `level_of`, and each of them beside the others.
[[nodiscard]] Plan appraise(std::vector<Move> moves,
                            const LevelOf& level_of,
                            double sample_rate_hz);

/// A setting that a search found, made a plan: cuts at rumble give way to a high-pass where that
/// nets about as much, and moves that do not pay are left out, the least first. Empty when nothing
/// pays.
[[nodiscard]] Plan make_plan(const Setting& setting,
                             const Target& target,
                             const LevelOf& level_of,
                             double sample_rate_hz);

[[nodiscard]] SearchConfig search_config(const PlanConfig& config, std::uint64_t start);

}  // namespace brink::cuts
