#pragma once

#include <complex>
#include <cstdint>
#include <string>
#include <vector>

#include "cuts/loop_gain.h"
#include "loop/scene.h"

namespace brink::bench {

/// A stage to plan for, and the open gain of its loop on the brink (the highest crossing is 0 dB).
struct LoopRoom {
  std::string name;
  loop::Scene scene;
  double step_hz = 0.0;
  std::vector<std::complex<double>> gain;  // the first value is at step_hz; up to 16 kHz

  [[nodiscard]] cuts::LoopGain loop() const noexcept { return {step_hz, step_hz, gain}; }
};

/// A wedge and a microphone in a shoebox room; every seed gives another. 40 to 4000 m3, T60 0.3 to
/// 2 s, 0.6 to 3 m apart, 90 to 180 degrees off the microphone's axis, with any pattern.
[[nodiscard]] loop::SceneOptions seeded_scene(std::uint64_t seed);

/// The same in a measured room, with 2 m of travel and the directivity that the response has.
[[nodiscard]] loop::SceneOptions measured_scene(const std::vector<float>& response);

[[nodiscard]] LoopRoom make_room(std::string name, const loop::SceneOptions& options);

/// Every sound file of a folder as an impulse response: its first channel, sorted by name.
[[nodiscard]] std::vector<LoopRoom> measured_rooms(const std::string& folder);

/// So many seeded rooms, then those of the folder, if one is named.
[[nodiscard]] std::vector<LoopRoom> all_rooms(int seeded, const std::string& folder);

}  // namespace brink::bench
