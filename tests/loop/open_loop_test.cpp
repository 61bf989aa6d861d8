#include "loop/open_loop.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "base/error.h"
#include "base/units.h"
#include "loop/band_limits.h"
#include "loop/room.h"
#include "loop/stage.h"

using namespace brink::loop;
using brink::base::Biquad;
using brink::base::db_to_amplitude;

namespace {

constexpr double kRateHz = 48000.0;
// -6 dB at 1 kHz, Q 4, cookbook peaking at 48 kHz.
constexpr Biquad kCut{0.988763015, -1.938220252, 0.966182063, -1.938220252, 0.954945078};

std::vector<double> pure_delay(double delay_s, double gain_db) {
  std::vector<double> taps(static_cast<std::size_t>(std::lround(delay_s * kRateHz)) + 1);
  taps.back() = db_to_amplitude(gain_db);
  return taps;
}

std::vector<double> stage_taps(std::uint64_t seed, double t60_s) {
  RoomConfig room;
  room.seed = seed;
  room.t60_s = t60_s;
  place_wedge(room, 1.2, 100.0);
  std::vector<double> taps = room_response(room);
  apply({90.0, 14000.0}, kRateHz, taps);
  OpenLoop loop{taps, {}, kRateHz};
  const double to_brink = db_to_amplitude(max_stable_gain_db(loop));
  for (double& tap : taps) {
    tap *= to_brink;
  }
  return taps;
}

/// Level of the microphone, every 10 ms, after one click, with the loop this far over its brink.
std::vector<double> click_levels_db(const std::vector<double>& taps,
                                    double excess_db,
                                    double length_s) {
  StageConfig config;
  config.response = taps;
  config.console_delay_s = 0.0;
  config.limit_dbfs = 0.0;
  config.plan.gain_db = Lines{excess_db};
  Stage stage{config};
  std::vector<float> click(480);
  std::vector<float> tap(480);
  click[0] = 1e-6F;
  std::vector<double> levels_db;
  for (int block = 0; block < static_cast<int>(length_s * 100.0); ++block) {
    stage.process(click, tap);
    click[0] = 0.0F;
    double power = 0.0;
    for (const float sample : tap) {
      power += static_cast<double>(sample) * static_cast<double>(sample);
    }
    levels_db.push_back(10.0 * std::log10(power / 480.0 + 1e-300));
  }
  return levels_db;
}

double slope_db_per_s(const std::vector<double>& levels_db, std::size_t from, std::size_t to) {
  double sx = 0.0;
  double sy = 0.0;
  double sxx = 0.0;
  double sxy = 0.0;
  const auto count = static_cast<double>(to - from);
  for (std::size_t n = from; n < to; ++n) {
    const double time_s = 0.01 * static_cast<double>(n);
    sx += time_s;
    sy += levels_db[n];
    sxx += time_s * time_s;
    sxy += time_s * levels_db[n];
  }
  return (count * sxy - sx * sy) / (count * sxx - sx * sx);
}

}  // namespace

// Source: worked example in a trade-press article on the physics of feedback (prosoundweb.com):
// half a dB too much in a loop of 10 ms grows by 50 dB/s, of 100 ms by 5 dB/s.
TEST_CASE("growth is excess gain over loop delay: the published example") {
  for (const auto& [delay_s, growth_db_per_s] : {std::pair{0.010, 50.0}, std::pair{0.100, 5.0}}) {
    const OpenLoop loop{pure_delay(delay_s, 0.0), {}, kRateHz};
    const std::optional<Pole> pole = loop.pole(1000.0, 0.5);
    REQUIRE(pole.has_value());
    CHECK(pole->growth_db_per_s == doctest::Approx(growth_db_per_s).epsilon(1e-6));
    CHECK(pole->frequency_hz == doctest::Approx(1000.0).epsilon(1e-6));
    CHECK(loop.group_delay_s(1000.0) == doctest::Approx(delay_s).epsilon(1e-6));
    CHECK(loop.pole(1000.0, -0.5)->growth_db_per_s ==
          doctest::Approx(-growth_db_per_s).epsilon(1e-6));
  }
}

// Source: the same article: a pure delay rings every 1 / delay.
TEST_CASE("a pure delay is at a whole turn every 1 / delay") {
  const OpenLoop loop{pure_delay(0.010, -3.0), {}, kRateHz};
  const std::vector<Crossing> crossings = loop.crossings(loop.response(), -3.5);
  REQUIRE(crossings.size() >= 240);
  for (std::size_t n = 0; n < 200; ++n) {
    CHECK(crossings[n].frequency_hz == doctest::Approx(100.0 * static_cast<double>(n)));
    CHECK(crossings[n].gain_db == doctest::Approx(-3.0));
  }
  CHECK(max_stable_gain_db(loop) == doctest::Approx(3.0));
}

TEST_CASE("value and slope equal the plain sum and a difference quotient, equaliser included") {
  const OpenLoop loop{stage_taps(4, 0.3), {kCut, kCut}, kRateHz};
  const LoopResponse grid = loop.response();
  for (const double frequency_hz : {83.0, 990.0, 1000.0, 7321.5}) {
    const OpenLoop::Value value = loop.at_hz(frequency_hz);
    const double step_hz = 1e-3;
    const std::complex<double> quotient =
        (std::log(loop.at_hz(frequency_hz + step_hz).gain) -
         std::log(loop.at_hz(frequency_hz - step_hz).gain)) /
        std::complex<double>{0.0, 2.0 * step_hz * 2.0 * std::numbers::pi};
    CHECK(std::abs(value.log_slope - quotient) < 1e-6 * std::abs(quotient));
  }
  for (std::size_t k = 1000; k < grid.gain.size(); k += 9973) {
    CHECK(std::abs(grid.gain[k] - loop.at_hz(grid.frequency_hz[k]).gain) < 1e-10);
  }
  // The cut takes twice 6 dB at its centre.
  const OpenLoop flat{stage_taps(4, 0.3), {}, kRateHz};
  CHECK(20.0 * std::log10(std::abs(loop.at_hz(1000.0).gain / flat.at_hz(1000.0).gain)) ==
        doctest::Approx(-12.0).epsilon(1e-4));
}

TEST_CASE("crossings are whole turns and none between two grid points is lost") {
  const OpenLoop loop{stage_taps(5, 0.5), {}, kRateHz};
  const LoopResponse grid = loop.response();
  const std::vector<Crossing> crossings = loop.crossings(grid, -6.0);
  REQUIRE(crossings.size() > 10);
  double highest_db = -100.0;
  for (const Crossing& crossing : crossings) {
    const std::complex<double> gain = loop.at_hz(crossing.frequency_hz).gain;
    CHECK(std::abs(std::arg(gain)) < 1e-6);
    highest_db = std::max(highest_db, crossing.gain_db);
  }
  CHECK(highest_db == doctest::Approx(0.0).epsilon(1e-9));  // scaled to its brink
  // Against a grid eight times finer around the highest ones.
  int count = 0;
  double at_hz = 200.0;
  while (at_hz < 700.0) {
    const std::complex<double> a = loop.at_hz(at_hz).gain;
    const std::complex<double> b = loop.at_hz(at_hz + 0.02).gain;
    if ((a.imag() < 0.0) != (b.imag() < 0.0) && a.real() > db_to_amplitude(-6.0)) {
      ++count;
    }
    at_hz += std::abs(std::arg(a)) > 0.5 ? 0.2 : 0.02;  // far from a whole turn: step faster
  }
  const auto found =
      std::count_if(crossings.begin(), crossings.end(), [](const Crossing& crossing) {
        return crossing.frequency_hz > 200.0 && crossing.frequency_hz < 700.0;
      });
  CHECK(found == count);
}

// Nyquist's condition (H. Nyquist, "Regeneration theory", Bell Syst. Tech. J. 11, 126-147, 1932).
TEST_CASE("half a dB under the brink decays, half a dB over grows") {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const std::vector<double> taps = stage_taps(seed, 0.3);
    const std::vector<double> under = click_levels_db(taps, -0.5, 4.0);
    const std::vector<double> over = click_levels_db(taps, 0.5, 4.0);
    CHECK(slope_db_per_s(under, 200, 400) < -0.5);
    CHECK(slope_db_per_s(over, 200, 400) > 0.5);
  }
}

TEST_CASE("growth measured on the running loop equals the pole's within 5 %") {
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U}) {
    for (const double excess_db : {0.7, 2.0}) {
      CAPTURE(seed);
      CAPTURE(excess_db);
      const std::vector<double> taps = stage_taps(seed, 0.4);
      const OpenLoop loop{taps, {}, kRateHz};
      double fastest_db_per_s = 0.0;
      for (const Crossing& crossing : loop.crossings(loop.response(), -excess_db)) {
        const std::optional<Pole> pole = loop.pole(crossing.frequency_hz, excess_db);
        REQUIRE(pole.has_value());
        // It is a pole: once around the loop, the growing tone comes back as it went.
        const std::complex<double> s{pole->growth_db_per_s * std::numbers::ln10 / 20.0,
                                     2.0 * std::numbers::pi * pole->frequency_hz};
        CHECK(std::abs(loop.at(s).gain * db_to_amplitude(excess_db) - 1.0) < 1e-6);
        fastest_db_per_s = std::max(fastest_db_per_s, pole->growth_db_per_s);
      }
      const std::vector<double> levels = click_levels_db(taps, excess_db, 8.0);
      // The last 20 dB before the amplifier's end, when the fastest has left the others behind.
      std::size_t end = 0;
      while (end < levels.size() && levels[end] < -30.0) {
        ++end;
      }
      const auto span = static_cast<std::size_t>(2000.0 / fastest_db_per_s);
      REQUIRE(end > span);
      CHECK(slope_db_per_s(levels, end - span, end) ==
            doctest::Approx(fastest_db_per_s).epsilon(0.05));
    }
  }
}

TEST_CASE("a loop that passes 0 Hz can run away there") {
  std::vector<double> taps = pure_delay(0.010, 0.0);
  taps[100] = 1.0;
  const OpenLoop loop{taps, {}, kRateHz};
  CHECK(max_stable_gain_db(loop) == doctest::Approx(-6.0206));
  const std::vector<Crossing> crossings = loop.crossings(loop.response(), 5.0);
  CHECK(crossings.front().frequency_hz == 0.0);
  const std::optional<Pole> pole = loop.pole(0.0, -5.0206);
  REQUIRE(pole.has_value());
  CHECK(pole->growth_db_per_s > 0.0);
}

TEST_CASE("an empty loop is refused") {
  CHECK_THROWS_AS((OpenLoop{{}, {}, kRateHz}), brink::base::Error);
  CHECK(max_stable_gain_db(OpenLoop{std::vector<double>(100), {}, kRateHz}) == kUnlimitedGainDb);
}
