#pragma once

#include <array>

#include "loop/random.h"

namespace brink::loop {

/// Something like a person who talks in no language. Glottal pulses with a moving pitch go through
/// five formants, which glide from vowel to vowel. There are hissing consonants, syllables in
/// phrases, and pauses between phrases. The level is not calibrated. Never allocates.
///
/// Pulse after A. E. Rosenberg, "Effect of glottal pulse shape on the quality of natural vowels",
/// J. Acoust. Soc. Am. 49, 583-590, 1971. Vowels about as in G. E. Peterson, H. L. Barney, J.
/// Acoust. Soc. Am. 24, 175-184, 1952. [any]
class Voice {
 public:
  Voice(double sample_rate_hz, std::uint64_t seed) noexcept;

  double next() noexcept;

 private:
  static constexpr std::size_t kFormants = 5;

  struct Resonator {
    double gain = 0.0;
    double feed_last = 0.0;
    double feed_before = 0.0;
    double last = 0.0;
    double before = 0.0;

    void tune(double frequency_hz, double width_hz, double sample_s) noexcept;
    double step(double sample) noexcept;
  };

  void glide() noexcept;
  void next_syllable() noexcept;
  double glottis() noexcept;
  double consonant() noexcept;

  double sample_s_;
  Random random_;
  double low_pitch_hz_;   // lowest pitch of this person
  double length_factor_;  // scales the formants to the length of this person's throat
  int syllables_left_ = 0;
  double syllable_s_ = 0.2;  // length of the present syllable or pause
  double at_s_ = 0.0;        // time since its start
  bool is_pause_ = true;
  double hiss_s_ = 0.0;  // length of the consonant at its start
  double hiss_hz_ = 4000.0;
  double stress_lin_ = 1.0;
  double pitch_hz_ = 120.0;
  double pitch_target_hz_ = 120.0;
  double phase_ = 0.0;  // of the glottal cycle, 0 to 1
  double flow_ = 0.0;
  std::array<double, kFormants> formant_hz_{};
  std::array<double, kFormants> target_hz_{};
  std::array<Resonator, kFormants> resonators_{};
  Resonator hiss_;
  int until_glide_samples_ = 0;
};

}  // namespace brink::loop
