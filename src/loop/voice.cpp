#include "loop/voice.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace brink::loop {

namespace {

constexpr double kPi = std::numbers::pi;
constexpr std::array<double, 5> kFormantWidthsHz{70.0, 90.0, 130.0, 220.0, 350.0};

// First three formants of nine vowels, a grown man's.
constexpr std::array<std::array<double, 3>, 9> kVowelsHz{{{270.0, 2290.0, 3010.0},
                                                          {390.0, 1990.0, 2550.0},
                                                          {530.0, 1840.0, 2480.0},
                                                          {660.0, 1720.0, 2410.0},
                                                          {730.0, 1090.0, 2440.0},
                                                          {570.0, 840.0, 2410.0},
                                                          {440.0, 1020.0, 2240.0},
                                                          {300.0, 870.0, 2240.0},
                                                          {640.0, 1190.0, 2390.0}}};

// Glottal flow over one cycle: it opens as half a cosine, closes faster, and stays shut.
double rosenberg_pulse(double phase) noexcept {
  constexpr double kOpening = 0.4;
  constexpr double kClosing = 0.16;
  if (phase < kOpening) {
    return 0.5 * (1.0 - std::cos(kPi * phase / kOpening));
  }
  if (phase < kOpening + kClosing) {
    return std::cos(0.5 * kPi * (phase - kOpening) / kClosing);
  }
  return 0.0;
}

}  // namespace

Voice::Voice(double sample_rate_hz, std::uint64_t seed) noexcept
    : sample_s_{1.0 / sample_rate_hz}, random_{seed} {
  const bool is_high = random_.uniform() < 0.5;
  low_pitch_hz_ = is_high ? random_.between(165.0, 200.0) : random_.between(90.0, 115.0);
  length_factor_ = is_high ? random_.between(1.1, 1.2) : random_.between(0.95, 1.05);
  formant_hz_ = target_hz_ = {500.0, 1500.0, 2500.0, 3500.0, 4500.0};
  syllable_s_ = 0.2;
}

void Voice::Resonator::tune(double frequency_hz, double width_hz, double sample_s) noexcept {
  const double radius = std::exp(-kPi * width_hz * sample_s);
  feed_last = 2.0 * radius * std::cos(2.0 * kPi * frequency_hz * sample_s);
  feed_before = -radius * radius;
  gain = 1.0 - feed_last - feed_before;
}

double Voice::Resonator::step(double sample) noexcept {
  const double out = gain * sample + feed_last * last + feed_before * before;
  before = last;
  last = out;
  return out;
}

// Moves the formants towards their vowel, in steps too small to hear.
void Voice::glide() noexcept {
  constexpr double kStepS = 0.0005;
  until_glide_samples_ = std::max(1, static_cast<int>(kStepS / sample_s_));
  const double share = 1.0 - std::exp(-until_glide_samples_ * sample_s_ / 0.025);
  const double most_hz = 0.45 / sample_s_;
  for (std::size_t formant = 0; formant < kFormants; ++formant) {
    formant_hz_[formant] += share * (target_hz_[formant] - formant_hz_[formant]);
    resonators_[formant].tune(
        std::min(formant_hz_[formant], most_hz), kFormantWidthsHz[formant], sample_s_);
  }
  hiss_.tune(std::min(hiss_hz_, most_hz), 1500.0, sample_s_);
}

void Voice::next_syllable() noexcept {
  at_s_ = 0.0;
  if (syllables_left_ == 0 && !is_pause_) {
    is_pause_ = true;
    syllable_s_ = random_.between(0.25, 0.9);
    return;
  }
  if (is_pause_) {
    syllables_left_ = 4 + random_.below(9);
    pitch_hz_ = low_pitch_hz_ * random_.between(1.3, 1.6);  // a phrase starts high and sinks
  }
  is_pause_ = false;
  --syllables_left_;
  syllable_s_ = random_.between(0.12, 0.28);
  stress_lin_ = random_.between(0.4, 1.0);
  pitch_target_hz_ =
      low_pitch_hz_ * (1.0 + 0.06 * std::min(6, syllables_left_)) * random_.between(0.9, 1.2);
  hiss_s_ = random_.uniform() < 0.6 ? random_.between(0.03, 0.09) : 0.0;
  hiss_hz_ = random_.between(2500.0, 6500.0);
  const auto& vowel = kVowelsHz[static_cast<std::size_t>(random_.below(9))];
  for (std::size_t formant = 0; formant < vowel.size(); ++formant) {
    target_hz_[formant] = vowel[formant] * length_factor_;
  }
  target_hz_[3] = 3500.0 * length_factor_;
  target_hz_[4] = 4500.0 * length_factor_;
}

double Voice::glottis() noexcept {
  const double flow = rosenberg_pulse(phase_);
  const double slope = flow - flow_;  // lips radiate the change of the flow
  flow_ = flow;
  phase_ += pitch_hz_ * sample_s_;
  if (phase_ >= 1.0) {
    phase_ -= 1.0;
    // No two cycles are exactly alike.
    pitch_hz_ += 0.06 * (pitch_target_hz_ - pitch_hz_) + 0.006 * pitch_hz_ * random_.normal();
    pitch_hz_ = std::clamp(pitch_hz_, 0.6 * low_pitch_hz_, 2.5 * low_pitch_hz_);
  }
  return slope / (sample_s_ * 4000.0);  // gives the same height at every sample rate
}

double Voice::consonant() noexcept {
  if (is_pause_ || at_s_ >= hiss_s_) {
    return 0.0;
  }
  const double swell = std::sin(kPi * at_s_ / hiss_s_);
  return 0.05 * stress_lin_ * swell * random_.normal();
}

double Voice::next() noexcept {
  if (at_s_ >= syllable_s_) {
    next_syllable();
  }
  double open = 0.0;
  if (!is_pause_ && at_s_ >= 0.7 * hiss_s_) {
    const double share = (at_s_ - 0.7 * hiss_s_) / (syllable_s_ - 0.7 * hiss_s_);
    open = stress_lin_ * std::sqrt(std::sin(kPi * std::clamp(share, 0.0, 1.0)));
  }
  const double hiss = consonant();
  at_s_ += sample_s_;
  double voiced = open * (glottis() + 0.01 * random_.normal());
  if (until_glide_samples_ == 0) {
    glide();
  }
  --until_glide_samples_;
  for (Resonator& resonator : resonators_) {
    voiced = resonator.step(voiced);
  }
  return voiced + (hiss - hiss_.step(hiss));
}

}  // namespace brink::loop
