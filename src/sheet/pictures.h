#pragma once

#include <string>
#include <vector>

#include "sheet/drawing.h"
#include "sheet/facts.h"

namespace brink::sheet {

/// Pictures of one output as whole figures. `number` counts the outputs of the show from 1.

/// The equaliser's response with the numbers of its cuts and, below, triangles where it rang.
[[nodiscard]] std::string curve_figure(const SheetOutput& output, std::size_t number);

/// A frequency line for each ring, from first to last: where, when, and how fast it grew.
[[nodiscard]] std::string rings_figure(const SheetOutput& output, std::size_t number);

/// Fader positions from round to round up to the edge, and down to where it is left. Empty when no
/// fader position is known.
[[nodiscard]] std::string climb_figure(const SheetOutput& output, std::size_t number);

/// All outputs of a show, a frequency line for each, and one for what was not a ring.
[[nodiscard]] std::string overview_figure(const std::vector<SheetOutput>& outputs,
                                          const std::vector<show::DismissalRecord>& dismissals);

}  // namespace brink::sheet
