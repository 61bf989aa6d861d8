#pragma once

#include <complex>
#include <cstdint>
#include <string>
#include <vector>

#include "cuts/loop_gain.h"
#include "loop/scene.h"

namespace brink::bench {

/// A stage to plan for, and the open gain of its loop at the brink (highest crossing 0 dB).
struct LoopRoom {
  std::string name;
  loop::Scene scene;
  double step_hz = 0.0;
  std::vector<std::complex<double>> gain;  // from step_hz on, to 16 kHz

  [[nodiscard]] cuts::LoopGain loop() const noexcept { return {step_hz, step_hz, gain}; }
};

/// A wedge and a microphone in a shoebox, another for every seed: 40 to 4000 m3, T60 0.3 to 2 s,
/// 0.6 to 3 m apart, 90 to 180 degrees off the microphone's axis, of any pattern.
[[nodiscard]] loop::SceneOptions seeded_scene(std::uint64_t seed);

/// The same in a measured room: 2 m of travel, the response's own directivity.
[[nodiscard]] loop::SceneOptions measured_scene(const std::vector<float>& response);

[[nodiscard]] LoopRoom make_room(std::string name, const loop::SceneOptions& options);

/// Every sound file of a folder as an impulse response, first channel, in order of name.
[[nodiscard]] std::vector<LoopRoom> measured_rooms(const std::string& folder);

}  // namespace brink::bench
