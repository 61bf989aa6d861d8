#pragma once

#include <optional>
#include <string>

#include "cuts/target.h"
#include "show/show_record.h"

namespace brink::show {

/// A target at hand (cuts::built_in_targets) by its name. Its source_text is what the book keeps of
/// it. Nothing when none has that name.
[[nodiscard]] std::optional<cuts::Target> target_at_hand(const std::string& name);

/// The target of a kept text, with that text. A bare name of one at hand is one too; no text stands
/// for `parametric`. Throws base::Error on text that is no target.
[[nodiscard]] cuts::Target to_target(const std::string& text);

/// Its kind alone, for words; one that cannot be read counts as parametric, so that all of its cuts
/// is told.
[[nodiscard]] cuts::Target::Kind kept_kind(const std::string& text) noexcept;

/// The setting of the target that lies nearest to a cut: centre and Q by their ratio, depth by its
/// difference, never 0 dB. A high-pass stays one where the target has one.
[[nodiscard]] cuts::Band nearest_on(const cuts::Target& target, const cuts::Band& cut);

enum class CutField { kCentre, kQ, kDepth };

/// The cut one or more of the target's own steps on, for editing with keys: up the frequency axis,
/// to a higher (narrower) Q, deeper. Stays at the ends. A graphic's centre steps to the next band.
[[nodiscard]] cuts::Band step_on(const cuts::Target& target,
                                 const cuts::Band& cut,
                                 CutField field,
                                 int steps);

}  // namespace brink::show
