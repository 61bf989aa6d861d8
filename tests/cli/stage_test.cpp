#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "io/sound_file.h"
#include "support/files.h"
#include "support/sentence.h"

using namespace brink;
using nlohmann::json;
using tests::check_sentence;
using tests::has;
using tests::Outcome;
using tests::run_brink;
using tests::TemporaryDirectory;

namespace {

std::vector<float> samples_of(const std::string& path) {
  io::SoundReader reader{path};
  std::vector<float> samples;
  while (reader.next_block()) {
    samples.insert(samples.end(), reader.channel(0).begin(), reader.channel(0).end());
  }
  return samples;
}

/// Level of one frequency over a stretch, a full-scale sine reads 0.
double tone_dbfs(const std::vector<float>& samples,
                 double from_s,
                 double to_s,
                 double frequency_hz) {
  double real = 0.0;
  double imag = 0.0;
  const auto first = static_cast<std::size_t>(from_s * 48000.0);
  const auto last = static_cast<std::size_t>(to_s * 48000.0);
  for (std::size_t n = first; n < last; ++n) {
    const double phase = 2.0 * 3.141592653589793 * frequency_hz * static_cast<double>(n) / 48000.0;
    real += static_cast<double>(samples[n]) * std::cos(phase);
    imag += static_cast<double>(samples[n]) * std::sin(phase);
  }
  return 20.0 * std::log10(2.0 * std::hypot(real, imag) / static_cast<double>(last - first));
}

const std::vector<std::string> small_stage{"stage",
                                           "--room-size",
                                           "6x5x3",
                                           "--t60",
                                           "0.3",
                                           "--length",
                                           "6",
                                           "--gain",
                                           "-6:2",
                                           "--ramp",
                                           "0.5:3",
                                           "--programme",
                                           "silence",
                                           "--seed",
                                           "4"};

/// The small stage with other options in place of its own.
std::vector<std::string> small(const std::vector<std::string>& more) {
  std::vector<std::string> arguments{"stage"};
  for (std::size_t at = 1; at < small_stage.size(); at += 2) {
    if (std::find(more.begin(), more.end(), small_stage[at]) == more.end()) {
      arguments.insert(arguments.end(), {small_stage[at], small_stage[at + 1]});
    }
  }
  arguments.insert(arguments.end(), more.begin(), more.end());
  return arguments;
}

}  // namespace

TEST_CASE("stage writes a sound with the ring that its truth tells") {
  const TemporaryDirectory directory;
  const Outcome outcome = run_brink(small({"--output", directory / "a.wav", "--format", "json"}));
  CAPTURE(outcome.err);
  REQUIRE(outcome.status == 0);
  const json truth = json::parse(outcome.out);
  CHECK(truth == json::parse(tests::read_bytes(directory / "a.truth.json")));
  CHECK(truth["schema"] == "brink/stage/1");
  CHECK(truth["clip"] == "a.wav");
  CHECK(truth["duration_s"] == 6.0);
  REQUIRE(truth["rings"].size() >= 1);
  const json& ring = truth["rings"][0];
  CHECK(ring["excess_db"].get<double>() > 0.0);
  CHECK(ring["dominant_s"].get<double>() >= ring["unstable_s"].get<double>());
  const std::vector<float> samples = samples_of(directory / "a.wav");
  REQUIRE(samples.size() == 288000);
  const double pole_hz = ring["pole_hz"].get<double>();
  CHECK(tone_dbfs(samples, 0.0, 0.4, pole_hz) < -60.0);
  // The limiter bends the ring by less than the window resolves.
  CHECK(std::abs(tone_dbfs(samples, 5.6, 5.9, pole_hz) - ring["peak_dbfs"].get<double>()) < 3.0);
  bool is_near = false;
  for (const json& near : truth["near_brink_hz"]) {
    is_near = is_near || near == ring["frequency_hz"];
  }
  CHECK(is_near);
}

TEST_CASE("stage tells the same story in words") {
  const Outcome outcome = run_brink(small_stage);
  CHECK(outcome.status == 0);
  CHECK(has(outcome.out, "maximum stable gain"));
  CHECK(has(outcome.out, "Rings to be heard:"));
  const Outcome open = run_brink(small({"--no-loop"}));
  CHECK(open.status == 0);
  CHECK(has(open.out, "no loop"));
  CHECK(has(open.out, "No ring to be heard."));
}

TEST_CASE("stage takes a measured room, a recording as programme, a swing and a cut") {
  const TemporaryDirectory directory;
  std::vector<float> click(4800);
  click[0] = 1.0F;
  click[700] = -0.5F;
  click[2100] = 0.3F;
  io::SoundWriter room(directory / "room.wav", 48000.0, 1, io::SampleFormat::kFloat);
  room.write(click);
  room.close();
  const Outcome outcome = run_brink({"stage",
                                     "--room",
                                     directory / "room.wav",
                                     "--programme",
                                     directory / "room.wav",
                                     "--swing",
                                     "1",
                                     "--swing-back",
                                     "2",
                                     "--gain",
                                     "-3:-3",
                                     "--length",
                                     "3",
                                     "--distance",
                                     "1",
                                     "--cut",
                                     "1000,8,-6",
                                     "--cut",
                                     "2000,8,-6",
                                     "--cut-at",
                                     "0.5",
                                     "--format",
                                     "json"});
  CAPTURE(outcome.err);
  REQUIRE(outcome.status == 0);
  const json truth = json::parse(outcome.out);
  CHECK(truth["stable_gain"].size() == 2);
  io::SoundWriter slow(directory / "slow.wav", 44100.0, 1, io::SampleFormat::kFloat);
  slow.write(click);
  slow.close();
  check_sentence({"stage", "--room", directory / "room.wav", "--programme", directory / "slow.wav"},
                 "one sample rate");
}

TEST_CASE("stage of several microphones: a channel for each, and shares that sum to one") {
  const TemporaryDirectory work;
  const Outcome run = run_brink({"stage",
                                 "--microphones",
                                 "3",
                                 "--outputs",
                                 "2",
                                 "--t60",
                                 "0.25",
                                 "--length",
                                 "5",
                                 "--gain",
                                 "-6:2",
                                 "--ramp",
                                 "0:2",
                                 "--format",
                                 "json",
                                 "--output",
                                 work / "band.wav"});
  REQUIRE(run.status == 0);
  const json truth = json::parse(run.out);
  CHECK(truth["schema"] == "brink/stage/1");
  CHECK(truth["tap"] == "channel");
  CHECK(truth["microphones"].size() == 3);
  CHECK(truth["outputs"].size() == 2);
  CHECK(io::SoundReader{work / "band.wav"}.channels() == 3);
  REQUIRE(!truth["rings"].empty());
  for (const json& ring : truth["rings"]) {
    double shares = 0.0;
    double pairs = 0.0;
    for (const json& share : ring["shares"]) {
      shares += share["share"].get<double>();
    }
    for (const json& pair : ring["pairs"]) {
      pairs += pair["share"].get<double>();
    }
    CHECK(std::abs(shares - 1.0) < 0.001);  // each rounded to 0.0001
    CHECK(std::abs(pairs - 1.0) < 0.001);
  }
}

TEST_CASE("stage refuses microphones that are not there") {
  const auto several = [](std::vector<std::string> more) {
    std::vector<std::string> words{"stage", "--microphones", "3", "--outputs", "2"};
    words.insert(words.end(), more.begin(), more.end());
    return run_brink(words);
  };
  check_sentence(several({"--invert", "4"}), "there is no microphone 4");
  check_sentence(several({"--send", "1,3,0"}), "there is no output 3");
  check_sentence(several({"--fader", "0.5,3"}), "--fader");
  check_sentence(several({"--channel-cut", "1,100,2"}), "--channel-cut");
  check_sentence(several({"--tap", "listener"}), "--tap");
  check_sentence(several({"--walk", "1:2"}), "no moves");
  check_sentence(several({"--ring-out"}), "--ring-out");
  check_sentence(run_brink({"stage", "--microphones", "99"}), "number of microphones");
  check_sentence(run_brink({"stage", "--fader", "1,3"}), "--microphones");
}

TEST_CASE("stage refuses nonsense with the field named") {
  check_sentence(small({"--t60", "-1"}), "T60 must be 0.05 to 10 s");
  check_sentence(small({"--room-size", "6x5"}), "--room-size");
  check_sentence(small({"--room-size", "0x5x3"}), "room length must be 1 to 100 m");
  check_sentence(small({"--distance", "50"}), "distance");
  check_sentence(small({"--angle", "200"}), "angle");
  check_sentence(small({"--pattern", "eight"}), "--pattern");
  check_sentence(small({"--programme", "nothing.wav"}), "nothing.wav");
  check_sentence(small({"--room", "nowhere.wav"}), "nowhere.wav");
  check_sentence(small({"--gain", "loud"}), "--gain");
  check_sentence(small({"--ramp", "5:1"}), "--ramp");
  check_sentence(small({"--length", "0"}), "length must be");
  check_sentence(small({"--length", "nan"}), "--length: 'nan' is no finite number");
  check_sentence(small({"--level", "20"}), "programme level");
  check_sentence(small({"--limit", "6"}), "limit must be");
  check_sentence(small({"--cut", "1000,8"}), "--cut");
  check_sentence(small({"--cut", "90000,8,-6"}), "--cut");
  check_sentence(small({"--cut", "1000,8,6"}), "--cut");
  check_sentence(small({"--sample-rate", "100"}), "sample rate");
  check_sentence(small({"--tap", "moon"}), "--tap");
  check_sentence(small({"--steps", "-3"}), "--steps");
  check_sentence(small({"--swing", "1", "--walk", "1:2"}), "not both");
  check_sentence(small({"--scenarios", "list.txt"}), "--into");
  check_sentence(small({"--output", "/nowhere/at/all.wav"}), "/nowhere/at/all.wav");
  check_sentence(small({"--output", "sound.mp3"}), "sound.mp3");
}

TEST_CASE("a scenario list that cannot be read is refused with its line") {
  const TemporaryDirectory directory;
  const auto refuse = [&](const std::string& list, const std::string& part) {
    tests::write_bytes(directory / "list.txt", list);
    check_sentence({"stage", "--scenarios", directory / "list.txt", "--into", directory / "out"},
                   part);
  };
  refuse("", "names no clip");
  refuse("kind x\n", "line 1");
  refuse("clip a\nsing x\n", "line 2");
  refuse("clip A b\n", "line 1");
  refuse("# head\n\nclip a\noptions --t61 3\n", "line 3");
  check_sentence({"stage", "--scenarios", directory / "none.txt", "--into", directory / "out"},
                 "cannot be read");
  tests::write_bytes(directory / "list.txt", "clip a\noptions --length 0.1\n");
  const std::string nowhere = "/proc/no-place-for-clips";  // nobody can make a directory there
  check_sentence({"stage", "--scenarios", directory / "list.txt", "--into", nowhere},
                 "--into " + nowhere + ": there is no such directory, and none can be made");
}

// The committed clips are what this program renders: no sample of them is anything else.
TEST_CASE("test signals come out bit for bit") {
  const std::string folder = BRINK_TEST_SIGNALS;
  std::ifstream list{folder + "/scenarios.txt"};
  std::string line;
  std::string chosen;
  bool is_wanted = false;
  while (std::getline(list, line)) {
    if (line.rfind("clip ", 0) == 0) {
      is_wanted = line == "clip wedge" || line == "clip mains_steps" || line == "clip plain_music";
    }
    if (is_wanted) {
      chosen.append(line).append("\n");
    }
  }
  const TemporaryDirectory directory;
  tests::write_bytes(directory / "list.txt", chosen);
  const Outcome outcome =
      run_brink({"stage", "--scenarios", directory / "list.txt", "--into", directory / "out"});
  CAPTURE(outcome.err);
  REQUIRE(outcome.status == 0);
  const json committed = json::parse(tests::read_bytes(folder + "/truth.json"));
  const json rendered = json::parse(tests::read_bytes(directory / "out/truth.json"));
  REQUIRE(rendered.size() == 3);
  for (const json& clip : rendered) {
    const auto name = clip["clip"].get<std::string>();
    CAPTURE(name);
    CHECK(samples_of(directory / fmt::format("out/{}", name)) ==
          samples_of(fmt::format("{}/{}", folder, name)));
    CHECK(std::count(committed.begin(), committed.end(), clip) == 1);
  }
}

TEST_CASE("stage rings itself out and says what it was worth") {
  const std::vector<std::string> quick{
      "--ring-out", "--sample-rate", "16000", "--rounds", "2", "--programme", "voice"};
  const Outcome outcome = run_brink(small(quick));
  CAPTURE(outcome.err);
  REQUIRE(outcome.status == 0);
  CHECK(has(outcome.out, "2 rounds"));
  CHECK(has(outcome.out, "stable gain won"));
  std::vector<std::string> graphic = quick;
  graphic.insert(graphic.end(), {"--target", "third-octave", "--cuts", "3", "--format", "json"});
  const Outcome as_json = run_brink(small(graphic));
  REQUIRE(as_json.status == 0);
  const json run = json::parse(as_json.out);
  CHECK(run["schema"] == "brink/stage-ring-out/1");
  CHECK(run["target"] == "third-octave");
  CHECK(run["end"] == "rounds");
  CHECK(run["rounds"].size() == 2);
  CHECK(run["cuts"].size() <= 3);
  const double net_db =
      run["stable_gain_won_db"].get<double>() - run["level_lost_db"].get<double>();
  CHECK(run["net_gain_db"].get<double>() == doctest::Approx(net_db).epsilon(0.02));
}

TEST_CASE("ringing out refuses what does not fit it") {
  check_sentence(small({"--ring-out", "--target", "nowhere.txt"}), "nowhere.txt");
  check_sentence(small({"--ring-out", "--cuts", "0"}), "number of cuts must be 1 to 32");
  check_sentence(small({"--ring-out", "--rounds", "0"}), "number of rounds");
  check_sentence(small({"--ring-out", "--back-off", "99"}), "back-off");
  check_sentence(small({"--ring-out", "--no-loop"}), "no loop to ring out");
  check_sentence(small({"--ring-out", "--output", "a.wav"}), "--output");
  check_sentence(small({"--rounds", "3"}), "--ring-out");
}
