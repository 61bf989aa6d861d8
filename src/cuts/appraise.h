#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "cuts/planner.h"
#include "cuts/search.h"

namespace brink::cuts {

/// Level (dB) of the loop's highest crossing with a setting in the loop. The loop may be a measured
/// one or a model.
using LevelOf = std::function<double(const Setting&)>;

/// The cuts and the high-pass of a setting as moves, without their worth.
[[nodiscard]] std::vector<Move> to_moves(const Setting& setting);

/// Level of a whole setting at one frequency, dB.
[[nodiscard]] double level_at(const Setting& setting, double frequency_hz, double sample_rate_hz);

/// What the moves win together on `level_of`, and what each one adds to the others.
[[nodiscard]] Plan appraise(std::vector<Move> moves,
                            const LevelOf& level_of,
                            double sample_rate_hz);

/// Makes a plan from a setting that a search found. A high-pass replaces the cuts at rumble if it
/// nets about as much. Moves that do not pay are left out, the least useful first. The plan is
/// empty when nothing pays.
[[nodiscard]] Plan make_plan(const Setting& setting,
                             const Target& target,
                             const LevelOf& level_of,
                             double sample_rate_hz);

/// What a search sees in a setting that wins so much stable gain, dB; apart from the price of
/// filters in use.
[[nodiscard]] double worth_db(const Setting& setting,
                              double won_db,
                              const SearchConfig& search,
                              double sample_rate_hz);

/// The search of a plan. `start`: number of the start, from 0; each has its own random numbers.
[[nodiscard]] SearchConfig search_config(const PlanConfig& config, std::uint64_t start);

}  // namespace brink::cuts
