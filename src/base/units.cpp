#include "base/units.h"

#include <array>
#include <cmath>

#include "base/number_text.h"

namespace brink::base {

double amplitude_to_db(double amplitude_lin) noexcept {
  return power_to_db(amplitude_lin * amplitude_lin);
}

double power_to_db(double power_lin) noexcept {
  constexpr double kSilencePower = 1e-20;  // kSilenceDb as a power
  return power_lin > kSilencePower ? 10.0 * std::log10(power_lin) : kSilenceDb;
}

double db_to_amplitude(double level_db) noexcept {
  return std::pow(10.0, level_db / 20.0);
}

double cents_between(double frequency_hz, double reference_hz) noexcept {
  return 1200.0 * std::log2(frequency_hz / reference_hz);
}

double semitone_to_hz(double semitone) noexcept {
  return 440.0 * std::exp2((semitone - 69.0) / 12.0);
}

double hz_to_semitone(double frequency_hz) noexcept {
  return 69.0 + 12.0 * std::log2(frequency_hz / 440.0);
}

std::string note_name(double frequency_hz) {
  constexpr std::array<const char*, 12> kNames{
      "C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"};
  const double semitone = hz_to_semitone(frequency_hz);
  const int nearest = static_cast<int>(std::lround(semitone));
  const int cents = static_cast<int>(std::lround(100.0 * (semitone - nearest)));
  const int octave = static_cast<int>(std::floor(nearest / 12.0)) - 1;
  const int step = nearest - 12 * (octave + 1);
  return std::string(kNames[static_cast<std::size_t>(step)]) + std::to_string(octave) +
         (cents < 0 ? " " : " +") + std::to_string(cents) + " c";
}

std::string frequency_label(double frequency_hz) {
  if (frequency_hz < 99.95) {
    return fixed_text(frequency_hz, 1) + " Hz";
  }
  if (frequency_hz < 999.5) {
    return fixed_text(frequency_hz, 0) + " Hz";
  }
  return frequency_hz < 9995.0 ? fixed_text(frequency_hz / 1000.0, 2) + " kHz"
                               : fixed_text(frequency_hz / 1000.0, 1) + " kHz";
}

double third_octave_centre_hz(int index) noexcept {
  return 1000.0 * std::pow(10.0, index / 10.0);
}

double third_octave_lower_hz(int index) noexcept {
  return third_octave_centre_hz(index) * std::pow(10.0, -1.0 / 20.0);
}

double third_octave_upper_hz(int index) noexcept {
  return third_octave_centre_hz(index) * std::pow(10.0, 1.0 / 20.0);
}

int third_octave_index(double frequency_hz) noexcept {
  return static_cast<int>(std::lround(10.0 * std::log10(frequency_hz / 1000.0)));
}

std::string third_octave_name(int index) {
  constexpr std::array<double, 10> kDecade{1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0};
  const int decade = static_cast<int>(std::floor(index / 10.0));
  const double name_hz =
      1000.0 * kDecade[static_cast<std::size_t>(index - 10 * decade)] * std::pow(10.0, decade);
  return name_hz < 999.0 ? general_text(name_hz) + " Hz" : general_text(name_hz / 1000.0) + " kHz";
}

}  // namespace brink::base
