#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "cuts/slot.h"

namespace brink::cuts {

/// The equaliser that cuts are made on: the values that it can have.
struct Target {
  enum class Kind {
    kGraphic,     ///< fixed bands; only the depth of each can change
    kParametric,  ///< equal bands; centre, Q and depth of each can change
  };

  std::string name;
  std::string about;        ///< one line for people
  std::string source_text;  ///< the text that parse_target() read
  Kind kind = Kind::kParametric;

  int bands = 8;  ///< of a graphic: the number of its centres

  std::vector<double> centres_hz;  ///< graphic: one for each band. Parametric: the grid
  std::vector<double> qs;          ///< graphic: one, for all bands. Parametric: the grid
  double deepest_db = -18.0;
  double depth_step_db = 0.5;
  std::vector<double> high_pass_hz;  ///< corners of the high-pass; empty: there is none
};

/// Targets that can be used by name. They are kinds of equaliser, not products.
[[nodiscard]] std::span<const Target> built_in_targets();

/// The built-in target of that name; nullptr when there is none.
[[nodiscard]] const Target* find_target(std::string_view name);

/// Reads a target from lines `field = value`; docs/targets.md describes them. Messages call the
/// text `name`. Throws base::Error that names the line and the field.
[[nodiscard]] Target parse_target(std::string_view text, const std::string& name);

/// The value of a target's list whose ratio to `value` is nearest to 1, or the value that many
/// steps after it. Stays at the ends of the list. The list is rising and above 0.
[[nodiscard]] double grid_value(std::span<const double> list, double value, int steps = 0);

/// The target's depth, never 0, that is nearest to `depth_db`, or the depth that many steps deeper.
/// Stays at the ends of the target's range.
[[nodiscard]] double depth_value(const Target& target, double depth_db, int steps = 0);

/// The target's filters as slots. Only centres below half the sample rate are in them. The
/// high-pass, if there is one, comes last.
[[nodiscard]] std::vector<Slot> to_slots(const Target& target, double sample_rate_hz);

}  // namespace brink::cuts
