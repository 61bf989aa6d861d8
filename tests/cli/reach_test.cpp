#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <regex>
#include <string>
#include <vector>

#include "support/sentence.h"

using brink::tests::check_sentence;
using brink::tests::has;
using brink::tests::Outcome;
using brink::tests::run_brink;
using nlohmann::json;

namespace {

std::vector<std::string> ask(std::vector<std::string> more) {
  std::vector<std::string> arguments{"reach",
                                     "--talker-to-microphone",
                                     "1",
                                     "--talker-to-listener",
                                     "7",
                                     "--microphone-to-loudspeaker",
                                     "4",
                                     "--loudspeaker-to-listener",
                                     "6"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return arguments;
}

}  // namespace

// Source: JBL Professional, Sound System Design Reference Manual, chapter 4: 7.5 dB needed, 7.5 dB
// to be had (each logarithm rounded to half a dB there).
TEST_CASE("reach answers the manual's example outdoors") {
  const Outcome outcome = run_brink(ask({"--format", "json"}));
  REQUIRE(outcome.status == 0);
  const json answer = json::parse(outcome.out);
  CHECK(answer["schema"] == "brink/reach/1");
  CHECK(std::abs(answer["potential_db"].get<double>() - 7.5) < 0.2);
  CHECK(std::abs(answer["needed_db"].get<double>() - 7.5) < 0.2);
  CHECK(answer["works"] == true);
  CHECK(answer["critical_distance"].is_null());
  const Outcome text = run_brink(ask({}));
  CHECK(has(text.out, "It works, with 0.0 dB to spare."));
  CHECK(has(text.out, "closer microphone: 0.5 m instead of 1 m"));
}

// Source: G. Ballou (ed.), Handbook for Sound Engineers, chapter 34, eqs 34-21 to 34-24: 11.7 dB to
// be had, 17.7 dB needed.
TEST_CASE("reach answers the handbook's hall, in feet and by its room constant") {
  const std::vector<std::string> hall{"reach",
                                      "--unit",
                                      "ft",
                                      "--talker-to-microphone",
                                      "2",
                                      "--talker-to-listener",
                                      "128",
                                      "--microphone-to-loudspeaker",
                                      "45",
                                      "--loudspeaker-to-listener",
                                      "90",
                                      "--open-microphones",
                                      "3",
                                      "--good-hearing",
                                      "4",
                                      "--room-constant",
                                      "9800",
                                      "--directivity",
                                      "5"};
  std::vector<std::string> as_json = hall;
  as_json.insert(as_json.end(), {"--format", "json"});
  const json answer = json::parse(run_brink(as_json).out);
  CHECK(std::abs(answer["potential_db"].get<double>() - 11.7) < 0.1);
  CHECK(std::abs(answer["needed_db"].get<double>() - 17.7) < 0.1);
  CHECK(answer["works"] == false);
  CHECK(answer["moves"][0]["move"] == "closer microphone");
  CHECK(has(run_brink(hall).out, "It will feed back: 6.1 dB are missing, and the margin is 6 dB."));
}

TEST_CASE("reach takes a room by volume and T60, the same in metres and feet") {
  const json metres =
      json::parse(run_brink(ask({"--volume", "1000", "--t60", "1.6", "--format", "json"})).out);
  CHECK(metres["critical_distance"].get<double>() == doctest::Approx(1.425).epsilon(1e-3));
  const json feet = json::parse(run_brink({"reach",
                                           "--unit",
                                           "ft",
                                           "--talker-to-microphone",
                                           "3.28084",
                                           "--talker-to-listener",
                                           "22.96588",
                                           "--microphone-to-loudspeaker",
                                           "13.12336",
                                           "--loudspeaker-to-listener",
                                           "19.68504",
                                           "--good-hearing",
                                           "9.84252",
                                           "--volume",
                                           "35314.67",
                                           "--t60",
                                           "1.6",
                                           "--format",
                                           "json"})
                                    .out);
  CHECK(feet["spare_db"].get<double>() == doctest::Approx(metres["spare_db"].get<double>()));
}

TEST_CASE("reach refuses nonsense with the field named") {
  check_sentence(ask({"--talker-to-microphone", "-2"}), "--talker-to-microphone");
  check_sentence({"reach", "--talker-to-microphone", "1"}, "--talker-to-listener");
  check_sentence(ask({"--good-hearing", "0"}), "good hearing");
  check_sentence(ask({"--open-microphones", "0"}), "--open-microphones");
  check_sentence(ask({"--critical-distance", "nan"}), "--critical-distance");
  check_sentence(ask({"--margin", "90"}), "margin");
  check_sentence(ask({"--volume", "100"}), "--t60");
  check_sentence(ask({"--volume", "100", "--t60", "1", "--critical-distance", "3"}), "one of them");
  check_sentence(ask({"--unit", "yard"}), "--unit");
  check_sentence(ask({"--directivity", "5"}), "without a room");
  check_sentence(ask({"--directivity", "5", "--critical-distance", "3"}), "has it in it already");
  check_sentence({"reach",
                  "--talker-to-microphone",
                  "0",
                  "--talker-to-listener",
                  "7",
                  "--microphone-to-loudspeaker",
                  "4",
                  "--loudspeaker-to-listener",
                  "6"},
                 "talker to microphone must be above 0");
  check_sentence({"reach",
                  "--talker-to-microphone",
                  "1",
                  "--talker-to-listener",
                  "70",
                  "--microphone-to-loudspeaker",
                  "4",
                  "--loudspeaker-to-listener",
                  "6"},
                 "talker to listener cannot be 70");
}

TEST_CASE("reach foretells feedback only beyond the margin, with figures that agree") {
  // 4.37 and 5.25 dB: 0.88 dB are missing, which is 0.8 of what is shown.
  const std::vector<std::string> near{"--good-hearing", "3.8252", "--open-microphones", "2"};
  const Outcome margin = run_brink(ask(near));
  CAPTURE(margin.out);
  CHECK(!has(margin.out, "feed back"));
  const std::regex form(
      "([0-9.]+) dB are missing: of the margin of 6 dB, ([0-9.]+) dB would be left.\n"
      "Potential gain (-?[0-9.]+) dB \\(margin 6 dB, 2 microphones open\\), needed ([0-9.]+) dB");
  std::smatch found;
  REQUIRE(std::regex_search(margin.out, found, form));
  const auto tenths = [&found](std::size_t place) {
    return std::lround(10.0 * std::stod(found[place]));
  };
  CHECK(tenths(1) == tenths(4) - tenths(3));
  CHECK(tenths(2) == 60 - tenths(1));
  const Outcome beyond = run_brink(ask({"--good-hearing", "1"}));
  CHECK(has(beyond.out, "It will feed back: "));
  CHECK(has(beyond.out, "dB are missing, and the margin is 6 dB."));
  // To the centimetre, and still enough: what it says is asked for again.
  const std::regex enough("closer microphone: .*; enough by itself at ([0-9.]+) m");
  REQUIRE(std::regex_search(margin.out, found, enough));
  CHECK(std::string(found[1]).size() <= 4);
  std::vector<std::string> again = ask(near);
  again[2] = found[1];
  CHECK(has(run_brink(again).out, "It works"));
}
