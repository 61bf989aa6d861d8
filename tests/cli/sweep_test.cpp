#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
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

std::vector<std::string> short_stage(std::vector<std::string> more) {
  std::vector<std::string> words{
      "sweep", "--from-stage", "--t60", "0.3", "--length", "2", "--decay", "0.5"};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

}  // namespace

TEST_CASE("sweep measures a simulated stage and finds its brink") {
  // A stage's gain is counted from its brink.
  const Outcome outcome = run_brink(short_stage({"--format", "json"}));
  REQUIRE(outcome.status == 0);
  const json answer = json::parse(outcome.out);
  CHECK(answer["schema"] == "brink/sweep/1");
  CHECK(answer["from"] == "stage");
  CHECK(answer["delay_known"] == true);
  CHECK(std::abs(answer["stable_gain_db"].get<double>()) < 0.5);
  CHECK(answer["rings"][0]["until_db"] == answer["stable_gain_db"]);
  CHECK(answer["measurement"]["bands"].size() > 20);
  CHECK(answer["plan"]["schema"] == "brink/plan/1");
  CHECK(answer["plan"]["sound"] == "balanced");
  int heard = 0;
  for (const auto& cut : answer["plan"]["cuts"]) {
    heard += cut["audibility"].get<double>() > 1.0 ? 1 : 0;
  }
  CHECK(answer["plan"]["audible_cuts"] == heard);
  CHECK(answer["plan"]["stable_gain_won_db"].get<double>() > 1.0);
}

TEST_CASE("sweep says in words what rings first, and what nobody told it") {
  const Outcome outcome = run_brink(short_stage({"--sound", "inaudible"}));
  REQUIRE(outcome.status == 0);
  CHECK(has(outcome.out, "It will ring first at"));
  CHECK(has(outcome.out, "Plan for the target parametric, from the loop's response"));
  CHECK(has(outcome.out, "nobody would hear these cuts"));
  CHECK(has(outcome.out, "give it with --console-gain"));
  const Outcome noisy = run_brink(short_stage({"--noise-floor", "-45"}));
  REQUIRE(noisy.status == 0);
  CHECK(has(noisy.out, "Too little signal over noise"));
}

TEST_CASE("a sweep is kept in a book, as a round of an output of the show in progress") {
  const brink::tests::TemporaryDirectory directory;
  const std::string book = directory / "tour.book";
  const auto keep = [&](const std::string& name, const std::string& target) {
    return run_brink(short_stage({"--book",
                                  book,
                                  "--name",
                                  name,
                                  "--target",
                                  target,
                                  "--venue",
                                  "Old Tannery",
                                  "--show",
                                  "Tin Lanterns",
                                  "--format",
                                  "json"}));
  };
  const Outcome first = keep("wedge 1", "parametric");
  REQUIRE(first.status == 0);
  CHECK(has(first.err, "as a round of wedge 1"));
  REQUIRE(keep("wedge 2", "parametric").status == 0);
  REQUIRE(keep("wedge 1", "third-octave").status == 0);
  const Outcome exported = run_brink({"book", "export", "--book", book});
  REQUIRE(exported.status == 0);
  const json show = json::parse(exported.out);  // one show, so one line
  CHECK(show["venue"] == "Old Tannery");
  REQUIRE(show["outputs"].size() == 2);
  const json& wedge = show["outputs"][0];
  CHECK(wedge["name"] == "wedge 1");
  REQUIRE(wedge["sweeps"].size() == 2);
  const json& sweep = wedge["sweeps"][0];
  const json answer = json::parse(first.out);
  CHECK(sweep["from"] == "stage");
  CHECK(sweep["level_dbfs"] == -40.0);
  CHECK(std::abs(sweep["stable_gain_db"].get<double>() - answer["stable_gain_db"].get<double>()) <
        0.01);
  CHECK(sweep["rings"].size() > 0);
  CHECK(sweep["cuts"].size() > 0);
  CHECK(wedge["cuts"] == wedge["sweeps"][1]["cuts"]);
  const Outcome shown = run_brink({"book", "show", show["key"].get<std::string>(), "--book", book});
  CHECK(has(shown.out, "foretold to win"));
  // Names without a book are a slip.
  check_sentence(short_stage({"--name", "wedge 1"}), "--book");
  // A book that cannot be written is said, and the answer is there all the same.
  const Outcome lost = run_brink(short_stage({"--book", "/dev/null/tour.book"}));
  CHECK(lost.status == 2);
  CHECK(has(lost.out, "It will ring first at"));
  CHECK(has(lost.err, "not kept"));
}

TEST_CASE("sweep takes a measured response, and tells what its delay decides") {
  const brink::tests::TemporaryDirectory directory;
  const std::string clip = directory / "impulse.wav";
  // What a stage's open loop makes of one sample of sound is its response.
  const std::vector<std::string> words{"sweep", "--impulse", clip, "--format", "json"};
  check_sentence({"sweep", "--impulse", clip}, "impulse.wav");
  std::string bytes("RIFF\0\0\0\0WAVEfmt \x10\0\0\0\1\0\1\0\x80\xbb\0\0\0\x77\1\0\2\0\x10\0data",
                    40);
  const int samples = 9600;
  const auto put_32 = [](int value) {
    std::string text;
    for (int shift = 0; shift < 32; shift += 8) {
      text += static_cast<char>((value >> shift) & 255);
    }
    return text;
  };
  bytes += put_32(2 * samples);
  bytes.replace(4, 4, put_32(36 + 2 * samples));
  for (int n = 0; n < samples; ++n) {
    const double time_s = (n - 240) / 48000.0;
    const double sample =
        n < 240 ? 0.0 : 8000.0 * std::exp(-60.0 * time_s) * std::cos(6283.185307 * time_s);
    bytes += put_32(static_cast<int>(std::lround(sample))).substr(0, 2);
  }
  brink::tests::write_bytes(clip, bytes);
  const Outcome outcome = run_brink(words);
  REQUIRE(outcome.status == 0);
  const json answer = json::parse(outcome.out);
  CHECK(answer["from"] == "impulse");
  CHECK(answer["delay_known"] == false);
  CHECK(answer["rings"][0]["frequency_hz"].get<double>() == doctest::Approx(1000.0).epsilon(0.01));
  CHECK(answer["stable_gain_most_db"].get<double>() >= answer["stable_gain_db"].get<double>());
  // 0.244 / (1 - exp(-60 / 48000)) / 2: the sum of the samples in phase.
  CHECK(answer["stable_gain_db"].get<double>() ==
        doctest::Approx(-20.0 * std::log10(0.5 * 0.244140625 / (1.0 - std::exp(-60.0 / 48000.0))))
            .epsilon(0.02));
  const std::string table = directory / "loop.csv";
  auto more = words;
  more.insert(more.end(), {"--console-delay", "1.5", "--console-gain", "-45", "--response", table});
  const Outcome told = run_brink(more);
  REQUIRE(told.status == 0);
  const json known = json::parse(told.out);
  CHECK(known["delay_known"] == true);
  const Outcome plan = run_brink({"plan", "--loop", table, "--format", "json"});
  REQUIRE(plan.status == 0);
  CHECK(json::parse(plan.out)["stable_gain_won_db"].get<double>() ==
        doctest::Approx(known["plan"]["stable_gain_won_db"].get<double>()).epsilon(0.05));
}

TEST_CASE("sweep refuses what it cannot do with one sentence") {
  check_sentence({"sweep", "--impulse", "x.wav", "--from-stage"}, "two different loops");
  check_sentence({"sweep", "--from-stage", "--level", "-10"}, "over the ceiling of -20 dBFS");
  check_sentence({"sweep", "--from-stage", "--ceiling", "0"}, "--ceiling");
  check_sentence({"sweep", "--channel", "2", "--reference", "2"}, "one and the same");
}
