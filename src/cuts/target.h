#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "cuts/slot.h"

namespace brink::cuts {

/// The equaliser at hand, as far as cuts are concerned: what it can be set to.
struct Target {
  enum class Kind {
    kGraphic,     ///< fixed bands, each with its depth alone
    kParametric,  ///< bands that are all alike and free in centre, Q and depth
  };

  std::string name;
  std::string about;        ///< one line for people
  std::string source_text;  ///< what parse_target() read
  Kind kind = Kind::kParametric;

  int bands = 8;  ///< a graphic's follow from its centres

  std::vector<double> centres_hz;  ///< graphic: one to a band. Parametric: the grid
  std::vector<double> qs;          ///< graphic: one, the bands'. Parametric: the grid
  double deepest_db = -18.0;
  double depth_step_db = 0.5;
  std::vector<double> high_pass_hz;  ///< corners of the high-pass; empty: there is none
};

/// Targets that stand ready by name: kinds of equaliser, no make.
[[nodiscard]] std::span<const Target> built_in_targets();

/// The built-in target of that name; nullptr when there is none.
[[nodiscard]] const Target* find_target(std::string_view name);

/// A target from text of lines `field = value`; the form is told in docs/targets.md. `name` stands
/// for the text in messages. Throws base::Error that names the line and the field.
[[nodiscard]] Target parse_target(std::string_view text, const std::string& name);

/// The value of a target's list (rising, above 0) whose ratio to `value` is nearest to 1, or one so
/// many steps on; stays at the ends.
[[nodiscard]] double grid_value(std::span<const double> list, double value, int steps = 0);

/// The depth, never 0, that a target has nearest, or so many steps deeper; stays at its ends.
[[nodiscard]] double depth_value(const Target& target, double depth_db, int steps = 0);

/// The target's filters as slots to choose from, of which a centre must lie below half the sample
/// rate. The high-pass, when there is one, comes last.
[[nodiscard]] std::vector<Slot> to_slots(const Target& target, double sample_rate_hz);

}  // namespace brink::cuts
