#pragma once

#include <complex>
#include <cstdint>
#include <vector>

#include "cuts/loop_gain.h"

namespace brink::tests {

/// The open gain of a loop on its brink, on an even grid up to 16 kHz.
struct NoiseLoop {
  double step_hz = 0.0;
  std::vector<std::complex<double>> gain;  // the first value is at step_hz

  [[nodiscard]] cuts::LoopGain loop() const noexcept { return {step_hz, step_hz, gain}; }
};

/// A diffuse room, closed through a delay of 10 ms and band limits of 90 Hz and 14 kHz. The room is
/// noise that decays exponentially with T60 `t60_s`. Every seed gives another room. The highest
/// crossing is 0 dB.
[[nodiscard]] NoiseLoop make_noise_loop(std::uint64_t seed, double t60_s);

}  // namespace brink::tests
