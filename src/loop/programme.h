#pragma once

#include <cstdint>
#include <span>
#include <variant>
#include <vector>

#include "loop/music.h"
#include "loop/pink_noise.h"
#include "loop/voice.h"

namespace brink::loop {

enum class ProgrammeKind : std::uint8_t { kSilence, kPinkNoise, kVoice, kMusic, kSamples };

struct ProgrammeConfig {
  ProgrammeKind kind = ProgrammeKind::kVoice;
  double sample_rate_hz = 48000.0;  ///< 8000 to 192000
  double level_dbfs = -28.0;        ///< long-term level; a full-scale sine reads 0; -100 to -3
  double noise_floor_dbfs =
      -78.0;  ///< noise of the microphone and the stage, always present; -150 to -20
  std::uint64_t seed = 1;
  std::vector<float> samples;  ///< for kSamples: played from the start and repeated
};

/// What reaches the microphone besides the loudspeaker: a signal generated from a seed, or samples
/// from outside. It has no end. Output: samples, full scale +-1. It does not depend on how it is
/// cut into blocks. A loud moment may pass full scale by little. Constructing allocates, and throws
/// Error on a bad config; fill does neither. [any]
class Programme {
 public:
  explicit Programme(const ProgrammeConfig& config);

  void fill(std::span<float> block) noexcept;

 private:
  struct Silence {
    static double next() noexcept { return 0.0; }
  };

  struct Samples {
    std::vector<float> samples;
    std::size_t at = 0;

    double next() noexcept;
  };

  using Generator = std::variant<Silence, PinkNoise, Voice, Music, Samples>;

  template <typename Use>
  static void with_generator(Generator& generator, const Use& use) noexcept;
  static Generator generator(const ProgrammeConfig& config);

  Generator generator_;
  Random noise_;
  double gain_lin_ = 1.0;
  double noise_lin_ = 0.0;
};

}  // namespace brink::loop
