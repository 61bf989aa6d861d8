#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>
#include <vector>

#include "support/files.h"
#include "support/sentence.h"

using brink::tests::check_sentence;
using brink::tests::has;
using brink::tests::Outcome;
using brink::tests::run_brink;
using nlohmann::json;

namespace {

struct Points {
  double step_hz = 1.0;
  int decimals = 6;    ///< of the frequencies
  double turns = 1.0;  ///< -1: the phase has the wrong sign
};

/// The response up to 6 kHz of a loop of 12 ms that reverberates for 1.2 s (its T60).
std::string room_loop(const Points& points) {
  struct Echo {
    double at_s, size;
  };

  std::vector<Echo> echoes;
  std::uint32_t chance = 1;  // a linear congruential generator (Numerical Recipes)
  for (int i = 0; i < 400; ++i) {
    chance = chance * 1664525U + 1013904223U;
    const double at_s = 0.012 + 0.003 * i;
    const double sign = (chance >> 31U) != 0U ? 1.0 : -1.0;
    echoes.push_back({at_s + 1e-6 * (chance >> 20U), 0.06 * sign * std::pow(10.0, -2.5 * at_s)});
  }
  std::string text = "Hz, dB, degrees\n";
  for (double hz = points.step_hz; hz < 6000.0; hz += points.step_hz) {
    std::complex<double> gain;
    for (const Echo& echo : echoes) {
      gain += std::polar(echo.size, -2.0 * std::numbers::pi * hz * echo.at_s);
    }
    text += fmt::format("{:.{}f} {:.3f} {:.3f}\n",
                        hz,
                        points.decimals,
                        20.0 * std::log10(std::abs(gain)),
                        points.turns * std::arg(gain) * 180.0 / std::numbers::pi);
  }
  return text;
}

}  // namespace

TEST_CASE("plan fits typed frequencies to a graphic, in words and in json") {
  const Outcome text = run_brink({"plan", "--rings", "1122,4000", "--target", "third-octave"});
  REQUIRE(text.status == 0);
  // 1122 Hz is the edge between two bands.
  CHECK(has(text.out, "band    1 kHz"));
  CHECK(has(text.out, "band 1.25 kHz"));
  CHECK(has(text.out, "band    4 kHz"));
  CHECK(has(text.out, "buys"));
  CHECK(has(text.out, "costs"));
  const Outcome outcome =
      run_brink({"plan", "--rings", "1122,4000", "--target", "third-octave", "--format", "json"});
  REQUIRE(outcome.status == 0);
  const json plan = json::parse(outcome.out);
  CHECK(plan["schema"] == "brink/plan/1");
  CHECK(plan["from"] == "rings");
  CHECK(plan["cuts"].size() == 3);
  CHECK(plan["cuts"][0]["for_rings"] == json::array({0}));
  CHECK(plan["cuts"][2]["for_rings"] == json::array({1}));
  CHECK(std::abs(plan["net_gain_db"].get<double>() -
                 (plan["stable_gain_won_db"].get<double>() - plan["level_lost_db"].get<double>())) <
        0.011);  // three numbers of two decimals
}

TEST_CASE("plan reads a loop's response and draws a picture") {
  const brink::tests::TemporaryDirectory directory;
  // A delay of 10 ms with a resonance of 6 dB at 1000 Hz.
  std::string text = "Hz, dB, degrees\n";
  for (int k = 1; k <= 8000; ++k) {
    const double away = (k - 1000.0) / 30.0;
    const double gain = 0.5 + 0.5 / (1.0 + away * away);
    text += std::to_string(k) + " " + std::to_string(20.0 * std::log10(gain) - 3.0) + " " +
            std::to_string(std::remainder(-3.6 * k, 360.0)) + "\n";
  }
  const std::string loop = directory / "loop.csv";
  brink::tests::write_bytes(loop, text);
  const std::string picture = directory / "plan.svg";
  const Outcome outcome =
      run_brink({"plan", "--loop", loop, "--format", "json", "--plot", picture});
  REQUIRE(outcome.status == 0);
  const json plan = json::parse(outcome.out);
  CHECK(plan["from"] == "loop");
  CHECK(plan["stable_gain_won_db"].get<double>() > 3.0);
  CHECK(!plan["next_rings"].empty());
  CHECK(plan["next_rings"][0]["gain_db"].get<double>() < -6.0);
  CHECK(has(brink::tests::read_bytes(picture), "</svg>"));
  CHECK(has(run_brink({"plan", "--loop", loop}).out, "3.0 dB below the brink as it is"));
}

TEST_CASE("plan takes a loop's response only where its points follow the loop") {
  const brink::tests::TemporaryDirectory directory;
  const std::string file = directory / "loop.csv";
  brink::tests::write_bytes(file, room_loop({0.25, 6}));
  const Outcome fine = run_brink({"plan", "--loop", file, "--format", "json"});
  REQUIRE(fine.status == 0);
  CHECK_FALSE(has(fine.err, "resolve"));
  const double won_db = json::parse(fine.out)["stable_gain_won_db"].get<double>();
  CHECK(won_db > 1.0);

  // Frequencies that were rounded are not evenly spaced to the digit.
  brink::tests::write_bytes(file, room_loop({1.0 / 3.0, 2}));
  const Outcome rounded = run_brink({"plan", "--loop", file, "--format", "json"});
  CHECK(rounded.status == 0);
  CHECK(rounded.err.empty());

  brink::tests::write_bytes(file, room_loop({5.859375, 6}));
  check_sentence({"plan", "--loop", file}, "steps of 5.85938 Hz do not resolve this loop");
  brink::tests::write_bytes(file, room_loop({0.25, 6, -1.0}));
  check_sentence({"plan", "--loop", file}, "turn the phase's sign");
}

TEST_CASE("plan refuses what it cannot use with one sentence") {
  check_sentence({"plan"}, "plan needs one of");
  check_sentence({"plan", "--rings", "100", "--loop", "x"}, "plan needs one of");
  check_sentence({"plan", "--rings", "low"}, "'low' is no frequency in Hz");
  check_sentence({"plan", "no-such-file.json"}, "no-such-file.json: cannot be read");
  check_sentence({"plan", "/"}, "cannot be read");
  check_sentence({"plan", "--rings", "100", "--target", "desk"}, "none of the targets at hand");
  check_sentence({"plan", "--rings", "100", "--cuts", "0"}, "--cuts");
  check_sentence({"plan", "--rings", "100", "--format", "xml"}, "--format");
  const brink::tests::TemporaryDirectory directory;
  const std::string target = directory / "desk.txt";
  brink::tests::write_bytes(target, "kind = parametric\nbands = few\n");
  check_sentence({"plan", "--rings", "100", "--target", target},
                 "desk.txt, line 2: bands needs a number, not 'few'.");
}

TEST_CASE("plan refuses a ring that the equaliser cannot know, and says what it cannot reach") {
  check_sentence({"plan", "--rings", "1000,30000"},
                 "--rings: 30000 Hz is not below half of the equaliser's sample rate, 48000 Hz");
  check_sentence({"plan", "--rings", "24000"}, "not below half");
  check_sentence({"plan", "--rings", "nan"}, "'nan' is no frequency");
  check_sentence({"plan", "--rings=-5"}, "'-5' is no frequency");
  for (const char* const target : {"parametric", "parametric-4", "third-octave", "octave"}) {
    const Outcome high = run_brink({"plan", "--rings", "23900", "--target", target});
    CHECK(high.status == 0);
    CHECK(has(high.out, "Nothing to cut"));
    CHECK(has(high.out, "Out of this plan's reach: 23900 Hz."));
  }
  const Outcome both = run_brink({"plan", "--rings", "1000,23900"});
  CHECK(has(both.out, "The rings in reach come down by "));
  CHECK(has(both.out, "Out of this plan's reach: 23900 Hz."));
}
