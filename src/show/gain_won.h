#pragma once

#include <optional>

#include "show/show_record.h"

namespace brink::show {

/// What a round won: the fader where something came back after its cut over the fader where it
/// rang. Nothing while either is not known, or when its cut was taken out again; rings that rang
/// together win together, and what they won stands with the last of them.
[[nodiscard]] std::optional<double> won_db(const RoundRecord& round) noexcept;

/// Stable gain that the cuts of an output won, in dB: the sum of what its rounds won. Nothing when
/// no fader was noted.
[[nodiscard]] std::optional<double> gain_won_db(const OutputRecord& output) noexcept;

/// The mean over the outputs where it is known.
[[nodiscard]] std::optional<double> gain_won_db(const ShowRecord& show) noexcept;

/// Something is known to have rung on it.
[[nodiscard]] bool has_rung(const OutputRecord& output) noexcept;

/// The highest fader position known to ring as the equaliser is set: where something came back
/// after the last cut, or else where the last ring rang; no higher than where a ring that is not
/// cut rang. Nothing when no fader position is known.
[[nodiscard]] std::optional<double> edge_db(const OutputRecord& output) noexcept;

/// Where to leave the fader: the margin under edge_db(). Nothing while the output is open.
[[nodiscard]] std::optional<double> leave_at_db(const OutputRecord& output) noexcept;

}  // namespace brink::show
