#include "ear/ruler.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace brink::ear;

// Source: about 3 Hz below 500 Hz and about 0.6 % (10 cents) above 1 kHz, as encyclopaedias print
// it; 1 to 3 Hz up to 1 kHz and a Weber fraction of about 0.002 in 500 to 2000 Hz by the Open
// University's course "Hearing", 11.2; 3.36 Hz at 125 Hz and 60 dB SPL in the table that J. O.
// Smith quotes. Ours must be no finer than any of them.
TEST_CASE("hearing's step is the coarsest of the published ones") {
  CHECK(hearing_step_hz(125.0) >= 3.36);
  CHECK(hearing_step_hz(500.0) == doctest::Approx(3.4));
  CHECK(hearing_step_hz(2000.0) == doctest::Approx(12.0));
  CHECK(hearing_step_cents(2000.0) == doctest::Approx(10.0).epsilon(0.05));  // "10 cents", rounded
  for (double hz = 60.0; hz < 16000.0; hz *= 1.1) {
    CHECK(hearing_step_hz(hz) >= 3.0);
    CHECK(hearing_step_hz(hz) >= 0.002 * hz);
  }
}

TEST_CASE("the guess moves by third-octaves and finer, and stays on the ruler") {
  Ruler ruler;
  ruler.place(2400.0);
  ruler.step_bands(1);
  CHECK(ruler.frequency_hz() == doctest::Approx(3162.278));  // IEC 61260-1, base ten
  ruler.step_bands(-2);
  CHECK(ruler.frequency_hz() == doctest::Approx(1995.262));
  ruler.step_fine(5);
  CHECK(ruler.frequency_hz() == doctest::Approx(1995.262 * std::exp2(1.0 / 12.0)));
  ruler.step_bands(100);
  CHECK(ruler.frequency_hz() == Ruler::kHighHz);
  ruler.place(std::numeric_limits<double>::quiet_NaN());
  ruler.place(-1.0);
  CHECK(ruler.frequency_hz() == Ruler::kHighHz);
  CHECK(Ruler::frequency_at(Ruler::position_of(440.0)) == doctest::Approx(440.0));
  CHECK(Ruler::position_of(Ruler::kLowHz) == 0.0);
  CHECK(Ruler::frequency_at(7.0) == doctest::Approx(Ruler::kHighHz));
}

// Source of the notes: equal temperament with A4 = 440 Hz, as printed in tables of pitches.
TEST_CASE("guesses are read as people type them") {
  const auto reads = [](const char* text, double hz) {
    const auto guess = parse_guess(text);
    REQUIRE_MESSAGE(guess.has_value(), text);
    CHECK_MESSAGE(*guess == doctest::Approx(hz).epsilon(2e-6), text);
  };
  reads("2500", 2500.0);
  reads("2.5k", 2500.0);
  reads(" 2.5 kHz ", 2500.0);
  reads("630 hz", 630.0);
  reads("A4", 440.0);
  reads("c6", 1046.502);
  reads("e5", 659.255);
  reads("b3", 246.942);
  reads("Bb3", 233.082);
  reads("F#5", 739.989);
  reads("A4+100", 466.164);
  reads("A4 -100 c", 415.305);
}

TEST_CASE("what is no frequency on the ruler is refused") {
  for (const char* const text :
       {"",     " ",     "k",    "loud", "2.5m", "2.5kk", "H4",  "A",   "A44",   "A4+",
        "A4+x", "A4--3", "-400", "0",    "20",   "30k",   "nan", "inf", "1e999", "A0"}) {
    CHECK_MESSAGE(!parse_guess(text).has_value(), text);
  }
}
