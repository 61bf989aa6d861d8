#pragma once

#include <array>

#include "loop/random.h"

namespace brink::loop {

/// Something like a small band: a four-chord song over a beat. It has a bass, struck chords, a
/// melody, a held chord in the background, and drums. Notes are sums of decaying partials with
/// vibrato and slight inharmonicity. The level is not calibrated. Never allocates. [any]
class Music {
 public:
  Music(double sample_rate_hz, std::uint64_t seed) noexcept;

  double next() noexcept;

 private:
  static constexpr std::size_t kPartials = 8;
  static constexpr std::size_t kNotes = 20;

  struct Sound {
    double level_lin = 1.0;
    double attack_s = 0.005;
    double decay_s = 1.0;  // time to 1/e of the first partial; higher ones decay faster
    double tilt = 1.2;     // partial k has the amplitude k^-tilt
    double stretch = 0.0;  // inharmonicity, as of a stiff string
    double vibrato = 0.0;  // depth as a share of the pitch
    bool is_held = false;  // stays level until released
  };

  struct Note {
    bool is_on = false;
    int steps_left = 0;         // until release
    double released_lin = 1.0;  // falls from 1 after the release
    double attack_lin = 0.0;
    double vibrato_phase = 0.0;
    double pitch_hz = 0.0;
    Sound sound;
    std::array<double, kPartials> ratio{};  // frequency of each partial, divided by the pitch
    std::array<double, kPartials> phase{};
    std::array<double, kPartials> level_lin{};
    std::array<double, kPartials> keep{};  // factor per sample
  };

  void next_step() noexcept;
  void play_chord(int chord) noexcept;
  void play_drums(int step) noexcept;
  void play(int semitone, int length_steps, const Sound& sound) noexcept;
  double sound_of(Note& note) const noexcept;
  double drums() noexcept;

  double sample_s_;
  Random random_;
  int key_semitone_;
  bool is_minor_;
  std::array<int, 4> chords_{};  // degrees of the scale
  int step_samples_;             // a sixteenth
  int until_step_samples_ = 0;
  int step_ = 0;
  int melody_degree_ = 7;
  std::array<Note, kNotes> notes_{};
  double kick_lin_ = 0.0;
  double kick_phase_ = 0.0;
  double hit_lin_ = 0.0;   // level of the snare
  double tick_lin_ = 0.0;  // level of the hi-hat
  double last_noise_ = 0.0;
};

}  // namespace brink::loop
