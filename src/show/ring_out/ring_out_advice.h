#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "show/gain_won.h"
#include "show/show_record.h"

namespace brink::show {

using show::edge_db;
using show::won_db;

/// Rounds with a cut in them.
[[nodiscard]] int round_count(const show::OutputRecord& output) noexcept;

struct Advice {
  enum class Kind : std::uint8_t { kGoOn, kMayStop, kStop };

  Kind kind = Kind::kGoOn;
  std::string reason;  ///< one sentence for the screen
};

/// When to stop, by common practice: after 5 to 7 rounds, or when more than three ring at once (D.
/// Stewart, ProSoundWeb, 24 June 2010); and when the last round won less than 1 dB, since a cut
/// then takes more from the sound than it gives. Before the fifth round that is not enough to say
/// "stop", only "you may stop": the highest places of a loop often lie within half a decibel, and
/// then a round that wins nothing says nothing about the next one (docs/method.md). Two rounds in a
/// row that win less than 1 dB together are enough. `caught_at_db`: the fader
/// of each certain ring that is not cut yet. They ring at once when they ring at one position of
/// the fader, those included that were cut since it was last raised: the loudest covers the others.
[[nodiscard]] Advice advise(const show::OutputRecord& output,
                            std::span<const std::optional<double>> caught_at_db);

}  // namespace brink::show
