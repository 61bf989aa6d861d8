#pragma once

#include <cstdint>
#include <vector>

namespace brink::tests {

/// One loop, calculated sample by sample, whose fader goes up and down while its microphone moves:
/// a delay that glides, one resonance, and an amplifier that clips hard. Each time up is a burst: a
/// tone that grows in a straight line, is loud for a while, and dies away.
struct MovingLoop {
  double sample_rate_hz = 8000.0;
  std::uint32_t variant = 1;  ///< draws frequency, delay, growths and lengths
  int bursts = 12;
  double least_growth_db_per_s = 220.0;
  double most_growth_db_per_s = 350.0;
  double least_loud_s = 0.3;  ///< how long a burst clips
  double most_loud_s = 0.5;
  double glide_ratio = 0.02;    ///< highest over lowest frequency, less 1
  double glide_period_s = 4.0;  ///< there and back
  double lowest_hz = 300.0;     ///< where the loop may ring
  double highest_hz = 3000.0;
  double noise_dbfs = -70.0;  ///< of the programme

  struct Burst {
    double from_s = 0.0;  ///< the fader goes up
    double loud_s = 0.0;  ///< the tone would reach the limit, by its growth
    double to_s = 0.0;    ///< the fader goes down
  };

  struct Sound {
    std::vector<float> samples;  ///< at the microphone
    std::vector<Burst> bursts;
    double frequency_hz = 0.0;  ///< in the middle of its glide
  };

  /// `programme` is added to the noise, as far as it reaches.
  [[nodiscard]] Sound play(const std::vector<float>& programme = {}) const;
};

}  // namespace brink::tests
