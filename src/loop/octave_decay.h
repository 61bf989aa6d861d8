#pragma once

#include <vector>

#include "loop/room.h"

namespace brink::loop {

/// Turns a response that decays with room.t60_s at every frequency into one whose octaves decay
/// each with its own T60: split at the octaves' edges into bands that add up to the whole, each
/// band given the rest of its decay from `start_s` on, and added again. Keeps leading zeros.
void shape_octave_decay(const RoomConfig& room, double start_s, std::vector<double>& response);

/// T60 at a frequency: from low ratio at 125 Hz to 1 at 500 Hz, 1 kHz, to high ratio at 8 kHz,
/// straight over the logarithm of frequency, constant beyond.
[[nodiscard]] double t60_at_s(const RoomConfig& room, double frequency_hz) noexcept;

}  // namespace brink::loop
