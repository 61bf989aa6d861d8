#pragma once

#include <vector>

#include "loop/room.h"

namespace brink::loop {

/// Gives each octave of a response its own T60. The response must decay with room.t60_s at every
/// frequency. It is split at the octaves' edges into bands that add up to the whole. Each band gets
/// the rest of its decay from `start_s` on, and the bands are added again. Leading zeros stay.
void shape_octave_decay(const RoomConfig& room, double start_s, std::vector<double>& response);

/// T60 in seconds at a frequency: t60_s times the low ratio at 125 Hz, times 1 from 500 Hz to 1
/// kHz, times the high ratio at 8 kHz. Between these it is a straight line over the logarithm of
/// frequency. Beyond them it is constant.
[[nodiscard]] double t60_at_s(const RoomConfig& room, double frequency_hz) noexcept;

}  // namespace brink::loop
