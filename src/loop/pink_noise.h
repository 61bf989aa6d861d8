#pragma once

#include <array>
#include <cmath>
#include <numbers>

#include "loop/random.h"

namespace brink::loop {

/// Noise with equal power in every octave from about 10 Hz up. The level is not calibrated. White
/// noise goes through a row of sections with one pole and one zero each. The poles are a factor 4
/// apart, and each zero lies half way (in octaves) above its pole. Together they fall by 3 dB per
/// octave, within a few tenths of a dB. [any]
class PinkNoise {
 public:
  PinkNoise(double sample_rate_hz, std::uint64_t seed) noexcept : random_{seed} {
    double pole_hz = 10.0;
    for (Section& section : sections_) {
      section.pole = corner(pole_hz, sample_rate_hz);
      section.zero = corner(2.0 * pole_hz, sample_rate_hz);
      pole_hz *= 4.0;
    }
  }

  double next() noexcept {
    double sample = random_.normal();
    for (Section& section : sections_) {
      const double state = sample + section.pole * section.state;
      sample = state - section.zero * section.state;
      section.state = state;
    }
    return sample;
  }

 private:
  struct Section {
    double pole = 0.0;
    double zero = 0.0;
    double state = 0.0;
  };

  static double corner(double frequency_hz, double sample_rate_hz) noexcept {
    return std::exp(-2.0 * std::numbers::pi * frequency_hz / sample_rate_hz);
  }

  Random random_;
  std::array<Section, 6> sections_{};
};

}  // namespace brink::loop
