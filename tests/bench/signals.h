#pragma once

#include <array>
#include <complex>
#include <cstdint>
#include <random>
#include <span>

namespace brink::bench {

/// Random numbers that are the same on every platform: the raw output of a standard engine with our
/// own mapping. The standard's distributions differ between libraries.
class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_{seed} {}

  /// Uniform over [0, 1).
  [[nodiscard]] double even() noexcept {
    // 2^53: a double has 53 bits.
    return static_cast<double>(engine_() >> 11U) / 9007199254740992.0;
  }

  /// Nearly normal, mean 0, standard deviation 1: the sum of four uniform numbers of 16 bits. The
  /// draws are independent. Every figure here sums over a thousand of them or more, so only their
  /// variance matters.
  [[nodiscard]] float bell() noexcept;

 private:
  std::mt19937_64 engine_;
};

/// A tone in white noise. The tone may grow.
struct ToneInNoise {
  double sample_rate_hz = 48000.0;
  double frequency_hz = 1000.0;
  double phase_rad = 0.0;
  double amplitude = 0.1;  ///< at sample 0
  double growth_db_per_s = 0.0;
  double noise_rms = 0.0;
};

/// Fills `samples` with the tone, beginning at sample 0. The noise comes from `random`.
void render(const ToneInNoise& tone, Random& random, std::span<float> samples);

/// Programme for timing: struck notes with partials that decay, in noise. So a detector has peaks
/// to follow, as in music. About -20 dBFS RMS.
class Programme {
 public:
  explicit Programme(double sample_rate_hz, std::uint64_t seed = 1);

  void next(std::span<float> samples);

 private:
  static constexpr std::size_t kVoices = 4;
  static constexpr std::size_t kPartials = 6;

  struct Voice {
    std::array<std::complex<float>, kPartials> values;
    std::array<std::complex<float>, kPartials> steps;
    int samples_left = 0;
  };

  void strike(Voice& voice);

  double sample_rate_hz_;
  Random random_;
  std::array<Voice, kVoices> voices_;
};

}  // namespace brink::bench
