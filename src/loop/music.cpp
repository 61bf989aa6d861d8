#include "loop/music.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/units.h"

namespace brink::loop {

namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr int kStepsPerBar = 16;

// A wave like a sine; the phase is in turns, 0 to 1. It is the fifth-order polynomial with the
// sine's value and slope at its top and at its zero. It lies within 1e-4 of the sine and is several
// times faster than the library's.
double quick_sine(double turns) noexcept {
  const double x = 1.0 - std::abs(4.0 * turns - 2.0);  // a triangle, -1 to 1
  const double x2 = x * x;
  constexpr double kHalf = std::numbers::pi / 2.0;
  return x * (kHalf - x2 * ((2.0 * kHalf - 2.5) - x2 * (kHalf - 1.5)));
}

int scale_semitone(int degree, bool is_minor) noexcept {
  constexpr std::array<int, 7> kMajor{0, 2, 4, 5, 7, 9, 11};
  constexpr std::array<int, 7> kMinor{0, 2, 3, 5, 7, 8, 10};
  const int octave = degree >= 0 ? degree / 7 : -((6 - degree) / 7);
  const auto within = static_cast<std::size_t>(degree - 7 * octave);
  return 12 * octave + (is_minor ? kMinor : kMajor)[within];
}

}  // namespace

Music::Music(double sample_rate_hz, std::uint64_t seed) noexcept
    : sample_s_{1.0 / sample_rate_hz}, random_{seed} {
  key_semitone_ = 45 + random_.below(12);
  is_minor_ = random_.uniform() < 0.5;
  constexpr std::array<std::array<int, 4>, 5> kSongs{
      {{0, 4, 5, 3}, {0, 5, 3, 4}, {5, 3, 0, 4}, {0, 3, 1, 4}, {0, 2, 3, 4}}};
  chords_ = kSongs[static_cast<std::size_t>(random_.below(5))];
  const double beats_per_s = random_.between(80.0, 132.0) / 60.0;
  step_samples_ = static_cast<int>(sample_rate_hz / (4.0 * beats_per_s));
}

void Music::play(int semitone, int length_steps, const Sound& sound) noexcept {
  auto free =
      std::find_if(notes_.begin(), notes_.end(), [](const Note& note) { return !note.is_on; });
  if (free == notes_.end()) {
    return;
  }
  Note& note = *free;
  note = Note{};
  note.is_on = true;
  note.steps_left = length_steps;
  note.pitch_hz = base::semitone_to_hz(semitone) * (1.0 + 0.001 * random_.normal());
  note.sound = sound;
  for (std::size_t partial = 0; partial < kPartials; ++partial) {
    const auto number = static_cast<double>(partial + 1);
    note.ratio[partial] = number * (1.0 + 0.5 * sound.stretch * number * number);
    note.phase[partial] = random_.uniform();
    const double level =
        sound.level_lin * std::pow(number, -sound.tilt) * random_.between(0.6, 1.0);
    const bool is_sampled = note.pitch_hz * note.ratio[partial] * sample_s_ < 0.45;
    note.level_lin[partial] = is_sampled ? level : 0.0;
    note.ratio[partial] = is_sampled ? note.ratio[partial] : 0.0;
    note.keep[partial] =
        sound.is_held ? 1.0 : std::exp(-sample_s_ * (1.0 + 0.35 * (number - 1.0)) / sound.decay_s);
  }
}

void Music::play_chord(int chord) noexcept {
  const Sound struck{0.14, 0.004, 0.7, 1.1, 0.0004, 0.0, false};
  const Sound held{0.05, 0.25, 1.0, 1.4, 0.0, 0.002, true};
  for (const int degree : {chord, chord + 2, chord + 4}) {
    const int semitone = key_semitone_ + 12 + scale_semitone(degree, is_minor_);
    play(semitone, 6, struck);
    play(semitone + 12, kStepsPerBar - 1, held);
  }
}

void Music::play_drums(int step) noexcept {
  if (step % 8 == 0 || (step == 10 && random_.uniform() < 0.5)) {
    kick_lin_ = 0.5;
    kick_phase_ = 0.0;
  }
  if (step % 8 == 4) {
    hit_lin_ = 0.2;
  }
  if (step % 2 == 0) {
    tick_lin_ = 0.06 * random_.between(0.5, 1.0);
  }
}

void Music::next_step() noexcept {
  const int step = step_ % kStepsPerBar;
  const int chord = chords_[static_cast<std::size_t>(step_ / kStepsPerBar % 4)];
  for (Note& note : notes_) {
    note.steps_left -= note.is_on ? 1 : 0;
  }
  if (step == 0) {
    play_chord(chord);
  }
  if (step % 4 == 0 || (step % 4 == 3 && random_.uniform() < 0.3)) {
    const Sound bass{0.3, 0.006, 0.6, 1.3, 0.0002, 0.0, false};
    play(key_semitone_ - 12 + scale_semitone(chord, is_minor_), 3, bass);
  }
  if (step % 2 == 0 && random_.uniform() < 0.65) {
    const Sound lead{0.16, 0.02, 1.2, 1.0, 0.0, 0.004, random_.uniform() < 0.4};
    melody_degree_ = std::clamp(melody_degree_ + random_.below(5) - 2, 4, 16);
    play(
        key_semitone_ + 12 + scale_semitone(melody_degree_, is_minor_), 1 + random_.below(6), lead);
  }
  play_drums(step);
  ++step_;
}

double Music::sound_of(Note& note) const noexcept {
  if (note.steps_left <= 0) {
    note.released_lin *= 1.0 - sample_s_ / 0.06;
    if (note.released_lin < 1e-3) {
      note.is_on = false;
      return 0.0;
    }
  }
  note.attack_lin += (1.0 - note.attack_lin) * std::min(1.0, sample_s_ / note.sound.attack_s);
  note.vibrato_phase += 5.3 * sample_s_;
  note.vibrato_phase -= note.vibrato_phase >= 1.0 ? 1.0 : 0.0;
  const double bend =
      note.sound.vibrato > 0.0 ? 1.0 + note.sound.vibrato * quick_sine(note.vibrato_phase) : 1.0;
  const double turn = note.pitch_hz * bend * sample_s_;
  double sum = 0.0;
  for (std::size_t partial = 0; partial < kPartials; ++partial) {
    sum += note.level_lin[partial] * quick_sine(note.phase[partial]);
    const double next = note.phase[partial] + turn * note.ratio[partial];
    note.phase[partial] = next - (next >= 1.0 ? 1.0 : 0.0);
    note.level_lin[partial] *= note.keep[partial];
  }
  return sum * note.attack_lin * note.released_lin;
}

double Music::drums() noexcept {
  const double noise = random_.normal();
  const double bright = noise - last_noise_;
  last_noise_ = noise;
  const double kick = kick_lin_ * std::sin(kTurn * kick_phase_);
  kick_phase_ += (48.0 + 240.0 * kick_lin_ * kick_lin_) * sample_s_;
  kick_lin_ *= 1.0 - sample_s_ / 0.12;
  const double hit = hit_lin_ * 0.3 * (noise + bright);
  hit_lin_ *= 1.0 - sample_s_ / 0.07;
  const double tick = tick_lin_ * bright;
  tick_lin_ *= 1.0 - sample_s_ / 0.025;
  return kick + hit + tick;
}

double Music::next() noexcept {
  if (until_step_samples_ == 0) {
    next_step();
    until_step_samples_ = step_samples_;
  }
  --until_step_samples_;
  double sum = drums();
  for (Note& note : notes_) {
    if (note.is_on) {
      sum += sound_of(note);
    }
  }
  return sum;
}

}  // namespace brink::loop
