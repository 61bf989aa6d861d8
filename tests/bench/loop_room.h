#pragma once

#include <complex>
#include <cstdint>
#include <string>
#include <vector>

#include "cuts/loop_gain.h"

namespace brink::bench {

/// A loop to plan for: its open gain at the brink (highest crossing 0 dB) without equaliser.
struct LoopRoom {
  std::string name;
  double step_hz = 0.0;
  std::vector<std::complex<double>> gain;  // from step_hz on, to 16 kHz

  [[nodiscard]] cuts::LoopGain loop() const noexcept { return {step_hz, step_hz, gain}; }
};

/// Closes a loop through an impulse response at 48 kHz: 10 ms more of travel and console delay,
/// loudspeaker and microphone limits of 90 Hz and 14 kHz, gain up to the brink.
[[nodiscard]] LoopRoom close_loop(const std::string& name, const std::vector<float>& response);

/// Decaying noise, shorter in the treble, with a direct sound: a diffuse room of its own for every
/// seed, T60 0.3 to 2 s.
[[nodiscard]] LoopRoom diffuse_room(std::uint64_t seed);

/// Every sound file of a folder as an impulse response, first channel, in order of name.
[[nodiscard]] std::vector<LoopRoom> measured_rooms(const std::string& folder);

}  // namespace brink::bench
