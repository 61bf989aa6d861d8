#pragma once

#include <optional>

#include "show/show_record.h"

namespace brink::show {

/// Stable gain that the cuts of an output won, in dB: from the fader where the first round began to
/// ring to where something last came back (or, when that was not looked for, where the last round
/// began to ring). Nothing when the faders were not noted.
[[nodiscard]] std::optional<double> gain_won_db(const OutputRecord& output);

/// The mean over the outputs where it is known.
[[nodiscard]] std::optional<double> gain_won_db(const ShowRecord& show);

}  // namespace brink::show
