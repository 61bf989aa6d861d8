#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/cut.h"
#include "cuts/target.h"
#include "show/cut_proposal.h"
#include "show/ring_words.h"

namespace brink::panel {

/// Shown where a ring or a recording gets no cut.
inline constexpr const char* kNoCutHelps = "no cut of this target helps";

/// The cuts in the words of show::cut_words(), joined: "cut 2.63 kHz  Q 8  -6.0 dB".
/// kNoCutHelps when there are no cuts.
[[nodiscard]] std::string cut_words(std::span<const cuts::Cut> cuts, cuts::Target::Kind kind);

using show::growth_words;
using show::ring_words;
using show::RingWords;

/// "+3.5 dB", "-12 dB": where a fader stands.
[[nodiscard]] std::string fader_words(double fader_db);

/// How a proposal is told: the cut in one line, or how many bands are set; then every band that
/// changes, where they are several.
struct ProposalWords {
  std::string cut;
  std::string about;
  std::vector<std::string> bands;
};

/// `before`: what is in the equaliser now.
[[nodiscard]] ProposalWords proposal_words(const show::Proposal& proposal,
                                           std::span<const cuts::Band> before,
                                           cuts::Target::Kind kind);

/// What became of a round after which something rang again: "came back 5.0 dB later".
[[nodiscard]] std::string came_back_words(const std::optional<double>& won_db);

/// "0:10.6", "1:02:03.4": a place in a recording.
[[nodiscard]] std::string place_words(double seconds);

/// Nominal name of a third-octave (IEC 61260-1): "315", "1k", "12.5k". `band` is as in
/// base::third_octave_index: -13 (50 Hz) to 12 (16 kHz).
[[nodiscard]] std::string band_name(int band);

/// "01:02:03".
[[nodiscard]] std::string clock_words(double seconds);

}  // namespace brink::panel
