#include "ear/score.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "ear/ruler.h"

using namespace brink::ear;
using brink::cuts::find_target;

// Source: pitches of equal temperament (A4 440, C5 523.251, A5 880 Hz) as printed in tables: three
// semitones are 300 cents, an octave 1200.
TEST_CASE("errors in cents agree with the table of pitches") {
  const auto& target = *find_target("parametric");
  CHECK(score_guess({440.0, {}}, 523.251, target).error_cents ==
        doctest::Approx(300.0).epsilon(1e-4));
  CHECK(score_guess({880.0, {}}, 440.0, target).error_cents == doctest::Approx(-1200.0));
}

// Source: IEC 61260-1, exact base-ten mid-band frequencies and band edges as printed.
TEST_CASE("errors in third-octaves agree with the table of bands") {
  constexpr std::array<double, 6> kCentres{794.328, 1000.0, 1258.925, 1584.893, 1995.262, 2511.886};
  for (std::size_t i = 0; i < kCentres.size(); ++i) {
    CHECK(bands_between(kCentres[i], 1000.0) ==
          doctest::Approx(static_cast<double>(i) - 1.0).epsilon(1e-5));
  }
  CHECK(bands_between(1122.018, 1000.0) == doctest::Approx(0.5).epsilon(1e-5));  // the upper edge
  CHECK(is_within_third_octave(1258.925, 1000.0));
  CHECK(is_within_third_octave(794.328235, 1000.0));
  CHECK(!is_within_third_octave(1260.0, 1000.0));
  CHECK(!is_within_third_octave(793.0, 1000.0));
}

TEST_CASE("an octave off is told from being merely off") {
  CHECK(octave_slip(1000.0, 1000.0) == 0);
  CHECK(octave_slip(2000.0, 1000.0) == 1);
  CHECK(octave_slip(2100.0, 1000.0) == 1);
  CHECK(octave_slip(250.0, 1000.0) == -2);
  CHECK(octave_slip(8000.0, 1000.0) == 0);  // three octaves are no slip
  CHECK(octave_slip(1414.0, 1000.0) == 0);
  CHECK(octave_slip(1700.0, 1000.0) == 0);
  // The edges of half a third-octave, a factor of 10^(1/20) = 1.122 018.
  CHECK(octave_slip(2000.0 * 1.1220, 1000.0) == 1);
  CHECK(octave_slip(2000.0 * 1.1221, 1000.0) == 0);
}

TEST_CASE("no error is finer than hearing") {
  CHECK(heard_error_cents(1000.5, 1000.0) == doctest::Approx(hearing_step_cents(1000.0)));
  CHECK(heard_error_cents(1000.0 * std::exp2(1.0 / 12.0), 1000.0) == doctest::Approx(100.0));
  CHECK(heard_error_cents(102.0, 100.0) > 50.0);  // 3.4 Hz at 100 Hz
}

// Source of the left depth: Audio EQ Cookbook, -6 dB a third of an octave wide leaves -3.00 dB at
// its edge, 10^(1/20) times its centre.
TEST_CASE("the guessed cut is set on the target, and what it leaves is the cookbook's") {
  const auto& graphic = *find_target("third-octave");
  const auto cut = guessed_cut(graphic, 950.0, -6.0);
  CHECK(cut.centre_hz == doctest::Approx(1000.0));
  CHECK(cut.q == doctest::Approx(4.3335).epsilon(1e-4));
  CHECK(cut.depth_db == doctest::Approx(-6.0));
  const auto half = score_guess({1000.0 * std::pow(10.0, 0.05), {}}, 990.0, graphic);
  CHECK(half.left_db == doctest::Approx(-3.0).epsilon(0.005));
  CHECK(!half.stops_ring.has_value());

  // Half way between two bands in log frequency lies 1122 Hz; the arithmetic middle would be 1129.
  CHECK(guessed_cut(graphic, 1120.0, -6.0).centre_hz == doctest::Approx(1000.0));
  CHECK(guessed_cut(graphic, 1124.0, -6.0).centre_hz == doctest::Approx(1258.925));
  // Deeper than the target goes; a step that the target has not.
  CHECK(guessed_cut(graphic, 1000.0, -40.0).depth_db == doctest::Approx(-12.0));
  CHECK(guessed_cut(graphic, 1000.0, -4.1).depth_db == doctest::Approx(-4.5));
  // A parametric's centre is within half a step, 1/96 octave, and its Q near the third-octave's.
  const auto free_cut = guessed_cut(*find_target("parametric"), 2600.0, -4.0);
  CHECK(std::abs(1200.0 * std::log2(free_cut.centre_hz / 2600.0)) <= 12.6);
  CHECK(free_cut.q == doctest::Approx(4.3335).epsilon(0.05));  // Q in steps of 9 %
}

TEST_CASE("a cut stops the ring when it takes more than the excess where it rings") {
  const auto& graphic = *find_target("third-octave");
  const EarTruth truth{1000.0, 1.0};
  CHECK(score_guess(truth, 1010.0, graphic).stops_ring == true);
  CHECK(score_guess(truth, 1260.0, graphic).stops_ring == false);
  CHECK(score_guess(truth, 2000.0, graphic).stops_ring == false);
  CHECK(score_guess(truth, 1010.0, graphic).cut.depth_db == doctest::Approx(-3.0));  // 1 + 2 dB
  // The octave graphic's wider band reaches a third-octave away: -3 dB at Q 1.42 leaves 2.2 dB.
  CHECK(score_guess(truth, 1260.0, *find_target("octave")).stops_ring == true);
}
