#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cuts/propose.h"

namespace brink::report {

/// The rings that were certain in what `analyse --format json` wrote, one object on a line; of one
/// channel or of all. `name` stands for the text in messages. Throws base::Error that names the
/// line.
[[nodiscard]] std::vector<cuts::RingMeasurement> parse_rings_json(std::string_view text,
                                                                  const std::string& name,
                                                                  std::optional<int> channel);

/// Frequencies typed by hand, "2631,811.5", in Hz, below half of the equaliser's sample rate.
/// Nothing is known of their growth. Throws base::Error.
[[nodiscard]] std::vector<cuts::RingMeasurement> parse_ring_list(std::string_view text,
                                                                 double sample_rate_hz);

}  // namespace brink::report
