#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cuts/propose.h"

namespace brink::report {

/// The certain rings in a text that `analyse --format json` wrote, one object on each line. Takes
/// one channel, or all. Messages call the text `name`. Throws base::Error that names the line.
[[nodiscard]] std::vector<cuts::RingMeasurement> parse_rings_json(std::string_view text,
                                                                  const std::string& name,
                                                                  std::optional<int> channel);

/// The most frequencies by hand: as many as a plan has moves at most.
inline constexpr std::size_t kMostListedRings = 64;

/// Frequencies typed by hand, "2631,811.5", in Hz, below half of the equaliser's sample rate.
/// Nothing is known of their growth. Throws base::Error.
[[nodiscard]] std::vector<cuts::RingMeasurement> parse_ring_list(std::string_view text,
                                                                 double sample_rate_hz);

}  // namespace brink::report
