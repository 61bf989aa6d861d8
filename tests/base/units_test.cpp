#include "base/units.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <utility>

using namespace brink::base;

TEST_CASE("levels: unity is 0 dB, silence is the floor and never minus infinity") {
  CHECK(amplitude_to_db(1.0) == doctest::Approx(0.0));
  CHECK(amplitude_to_db(0.5) == doctest::Approx(-6.0206).epsilon(1e-4));
  CHECK(amplitude_to_db(0.0) == kSilenceDb);
  CHECK(db_to_amplitude(amplitude_to_db(0.123)) == doctest::Approx(0.123));
}

// Source: equal temperament, f = 440 * 2^((m - 69) / 12); the values are the usual printed table of
// note frequencies (A0 27.500 Hz, C4 261.626 Hz, C8 4186.009 Hz).
TEST_CASE("equal temperament matches the printed table") {
  const std::array<std::pair<int, double>, 8> table{{{21, 27.5},
                                                     {33, 55.0},
                                                     {57, 220.0},
                                                     {60, 261.626},
                                                     {69, 440.0},
                                                     {72, 523.251},
                                                     {96, 2093.005},
                                                     {108, 4186.009}}};
  for (const auto& [semitone, hz] : table) {
    CHECK(semitone_to_hz(semitone) == doctest::Approx(hz).epsilon(2e-6));
    CHECK(hz_to_semitone(hz) == doctest::Approx(semitone).epsilon(1e-6));
  }
  CHECK(note_name(440.0) == "A4 +0 c");
  CHECK(note_name(2631.4) == "E7 -4 c");
  CHECK(note_name(261.626) == "C4 +0 c");
  CHECK(note_name(8.0) == "C-1 -38 c");
}

// Source: IEC 61260-1 base-ten bands, 1000 * 10^(n/10), edges 10^(1/20) away; values as printed in
// tables of exact mid-band and edge frequencies.
TEST_CASE("third-octave bands match the base-ten table") {
  struct Row {
    int index;
    double centre, lower, upper;
  };

  for (const Row& row : {Row{-17, 19.953, 17.783, 22.387},
                         Row{-9, 125.893, 112.202, 141.254},
                         Row{-2, 630.957, 562.341, 707.946},
                         Row{0, 1000.0, 891.251, 1122.018},
                         Row{5, 3162.278, 2818.383, 3548.134},
                         Row{13, 19952.623, 17782.794, 22387.211}}) {
    CHECK(third_octave_centre_hz(row.index) == doctest::Approx(row.centre).epsilon(3e-5));
    CHECK(third_octave_lower_hz(row.index) == doctest::Approx(row.lower).epsilon(3e-5));
    CHECK(third_octave_upper_hz(row.index) == doctest::Approx(row.upper).epsilon(3e-5));
    CHECK(third_octave_index(row.lower * 1.001) == row.index);
    CHECK(third_octave_index(row.upper * 0.999) == row.index);
  }
}

TEST_CASE("frequency labels carry three figures") {
  CHECK(frequency_label(94.46) == "94.5 Hz");
  CHECK(frequency_label(811.2) == "811 Hz");
  CHECK(frequency_label(2631.4) == "2.63 kHz");
  CHECK(frequency_label(999.9) == "1.00 kHz");
  CHECK(frequency_label(12345.0) == "12.3 kHz");
}

TEST_CASE("a third-octave is called by its nominal number") {
  // IEC 61260-1, annex E.
  CHECK(third_octave_name(-17) == "20 Hz");
  CHECK(third_octave_name(-15) == "31.5 Hz");
  CHECK(third_octave_name(-4) == "400 Hz");
  CHECK(third_octave_name(-3) == "500 Hz");
  CHECK(third_octave_name(0) == "1 kHz");
  CHECK(third_octave_name(2) == "1.6 kHz");
  CHECK(third_octave_name(5) == "3.15 kHz");
  CHECK(third_octave_name(13) == "20 kHz");
}
