#pragma once

#include <complex>
#include <cstdint>
#include <span>
#include <vector>

#include "taps/ring_shares.h"
#include "taps/tap_history.h"

namespace brink::taps {

/// How loud each microphone's tap is in each output's tap, near one frequency.
struct Sends {
  /// gain[output][microphone], complex: an output's equaliser turns the phase. In the order of the
  /// taps of that role.
  std::vector<std::vector<std::complex<double>>> gain;
};

/// Finds them from the last `seconds` before sample `end`: inside a console an output is a sum of
/// its channels and nothing else, so ordinary least squares over the short spectra near the
/// frequency gives the factors, and what comes back through the room does not bias them. Each
/// short spectrum counts alike, so that a loud ring does not hide the rest. A channel that was
/// silent has a send of about 0. Allocates. [analysis]
[[nodiscard]] Sends find_sends(const TapHistory& history,
                               std::span<const TapInfo> taps,
                               double frequency_hz,
                               std::int64_t end,
                               double seconds);

}  // namespace brink::taps
