// `brink inputs` and `brink listen` on a real PipeWire server with its session manager.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <memory>
#include <nlohmann/json.hpp>
#include <numbers>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "io/sound_file.h"
#include "support/files.h"
#include "support/pipewire_server.h"

using namespace brink;
using nlohmann::json;

namespace {

using Clock = std::chrono::steady_clock;

constexpr double kPatienceS = 15.0;  // only ever spent when something hangs
constexpr const char* kMicJoin = "stagemic:capture_MONO -> brink:input_AUX0\n";

double seconds_since(Clock::time_point then) {
  return std::chrono::duration<double>(Clock::now() - then).count();
}

/// A small desktop: a microphone, a desk with four inputs, a pair of loudspeakers.
struct Desktop {
  tests::TemporaryDirectory directory;
  tests::PipewireServer server{directory / ""};

  Desktop() {
    server.add("front", "Front Speakers", "Audio/Sink", "[ FL FR ]");
    add_mic();
    server.add("deskin", "USB Desk", "Audio/Source/Virtual", "[ AUX0 AUX1 AUX2 AUX3 ]");
  }

  void add_mic() { server.add("stagemic", "Stage Mic", "Audio/Source/Virtual", "[ MONO ]"); }

  json inputs(const std::string& launcher = "") {
    std::vector<std::string> words{BRINK_EXECUTABLE, "inputs", "--format", "json"};
    if (!launcher.empty()) {
      words.insert(words.begin(), launcher);
    }
    tests::Process brink(words, server.client_options("inputs.err"));
    return json::parse(brink.read_line(kPatienceS).value_or("{}"));
  }

  std::vector<std::string> names() {
    std::vector<std::string> names;
    const json answer = inputs();
    for (const json& input : answer["inputs"]) {
      if (input["api"] == "PipeWire") {
        names.push_back(input["name"]);
      }
    }
    return names;
  }
};

/// A recording's two channels in turn.
std::vector<float> interleaved(const std::string& path) {
  std::vector<float> samples;
  io::SoundReader reader(path);
  while (reader.next_block()) {
    for (std::size_t i = 0; i < reader.channel(0).size(); ++i) {
      samples.push_back(reader.channel(0)[i]);
      samples.push_back(reader.channel(1)[i]);
    }
  }
  return samples;
}

/// `brink listen` on that desktop.
struct Listener {
  tests::Process brink;

  Listener(Desktop& desktop, std::vector<std::string> options)
      : brink(words(std::move(options)), desktop.server.client_options("brink.err")) {}

  static std::vector<std::string> words(std::vector<std::string> options) {
    options.insert(options.begin(), {BRINK_EXECUTABLE, "listen", "--levels", "20"});
    return options;
  }

  /// The next event of this kind and reason, others skipped.
  std::optional<json> event(const std::string& kind,
                            double patience_s = kPatienceS,
                            const std::string& reason = "") const {
    const auto begun = Clock::now();
    while (seconds_since(begun) < patience_s) {
      const auto line = const_cast<tests::Process&>(brink).read_line(patience_s);
      if (!line) {
        return std::nullopt;
      }
      json event = json::parse(*line);
      if (event["event"] == kind && (reason.empty() || event.value("reason", "") == reason)) {
        return event;
      }
    }
    return std::nullopt;
  }
};

}  // namespace

TEST_CASE("inputs on PipeWire have the desktop's names, its default first, and monitors marked") {
  Desktop desktop;
  desktop.server.make_default("deskin");
  for (const char* launcher : {"", "pw-jack"}) {
    const json answer = desktop.inputs(launcher);
    INFO(launcher << ' ' << answer);
    std::vector<std::string> names;
    int default_count = 0;
    for (const json& input : answer["inputs"]) {
      names.push_back(input["name"]);
      default_count += input["is_default"].get<bool>() ? 1 : 0;
      CHECK(input["is_monitor"].get<bool>() == (input["name"] == "Monitor of Front Speakers"));
    }
    REQUIRE(names.size() >= 3);
    CHECK(names[0] == "USB Desk");
    CHECK(answer["inputs"][0]["is_default"] == true);
    CHECK(answer["inputs"][0]["channels"] == 4);
    CHECK(default_count == 1);
    CHECK(std::count(names.begin(), names.end(), "Stage Mic") == 1);
    CHECK(std::count(names.begin(), names.end(), "Front Speakers") == 0);
    CHECK(std::count(names.begin(), names.end(), "default") == 0);
  }
  // Two of one make can still be told apart.
  desktop.server.add("othermic", "Stage Mic", "Audio/Source/Virtual", "[ MONO ]");
  const auto names = desktop.names();
  CHECK(std::count(names.begin(), names.end(), "Stage Mic [stagemic]") == 1);
  CHECK(std::count(names.begin(), names.end(), "Stage Mic [othermic]") == 1);
  // What is unplugged disappears.
  desktop.server.remove("othermic");
  const auto fewer = desktop.names();
  CHECK(std::count(fewer.begin(), fewer.end(), "Stage Mic") == 1);
}

TEST_CASE("an output's monitor is never the input that is taken when none is named") {
  const tests::TemporaryDirectory directory;
  tests::PipewireServer server(directory / "");
  server.add("front", "Front Speakers", "Audio/Sink", "[ FL FR ]");
  for (const char* launcher : {"env", "pw-jack"}) {
    INFO(launcher);
    tests::Process brink({launcher, BRINK_EXECUTABLE, "listen"}, server.client_options("none.err"));
    CHECK(brink.wait(kPatienceS) == 2);
    CHECK(tests::read_bytes(directory / "none.err").find("Monitor of Front Speakers") !=
          std::string::npos);
  }
}

TEST_CASE("a PipeWire source is bound by its name, and vanished is vanished until it is back") {
  Desktop desktop;
  desktop.server.make_default("stagemic");
  Listener listener(desktop, {"--input", "stage mic"});
  REQUIRE(listener.event("levels").has_value());
  CHECK(desktop.server.joins() == kMicJoin);
  // The desktop's default does not matter to an input that was chosen.
  desktop.server.make_default("deskin");
  for (int turn = 0; turn < 2; ++turn) {
    const auto left = Clock::now();
    desktop.server.remove("stagemic");
    REQUIRE(listener.event("input-lost", 3.0, "vanished").has_value());
    MESSAGE("told " << seconds_since(left) << " s after the source was asked to go");
    CHECK(desktop.server.joins().empty());  // not moved to another one
    desktop.add_mic();
    const auto returned = Clock::now();
    REQUIRE(listener.event("input-back", 3.0).has_value());
    CHECK(seconds_since(returned) < 1.0);
    CHECK(desktop.server.joins() == kMicJoin);
  }
  listener.brink.send_signal(SIGINT);
  CHECK(listener.brink.wait(kPatienceS) == 0);
}

TEST_CASE("without a name the desktop's default source is taken, with all its channels") {
  Desktop desktop;
  desktop.server.make_default("deskin");
  Listener listener(desktop, {});
  const auto event = listener.event("levels");
  REQUIRE(event.has_value());
  CHECK((*event)["levels"].size() == 4);
  CHECK(desktop.server.joins() ==
        "deskin:capture_AUX0 -> brink:input_AUX0\n"
        "deskin:capture_AUX1 -> brink:input_AUX1\n"
        "deskin:capture_AUX2 -> brink:input_AUX2\n"
        "deskin:capture_AUX3 -> brink:input_AUX3\n");
}

TEST_CASE("what an output plays comes through PipeWire sample for sample, channel by channel") {
  Desktop desktop;
  constexpr std::size_t kSamples = 96000;  // 2 s of two channels
  constexpr std::size_t kMostMissing = 4096;
  tests::RawWav wav;
  wav.channels = 2;
  for (std::size_t i = 0; i < kSamples; ++i) {
    // Exact in a float, never zero, and no two neighbours alike.
    wav.samples.push_back(static_cast<float>((i * 7919) % 32768 + 1) / 65536.0F);
    wav.samples.push_back(-static_cast<float>((i * 104729) % 32768 + 1) / 65536.0F);
  }
  tests::write_bytes(desktop.directory / "played.wav", wav.bytes());
  const std::string kept = desktop.directory / "kept.wav";
  Listener listener(desktop, {"--input", "Monitor of Front", "--record", kept});
  REQUIRE(listener.event("levels").has_value());
  tests::Process player(
      {"pw-cat", "-p", "--volume=1.0", "--target=front", desktop.directory / "played.wav"},
      desktop.server.client_options("player.err"));
  REQUIRE(player.wait(kPatienceS) == 0);
  listener.brink.send_signal(SIGINT);
  while (const auto event = listener.event("samples-lost")) {
    FAIL_CHECK("" << *event);
  }
  CHECK(listener.brink.wait(kPatienceS) == 0);

  const std::vector<float> heard = interleaved(kept);
  const auto sound = std::find_if(heard.begin(), heard.end(), [](float x) { return x != 0.0F; });
  REQUIRE(heard.end() - sound > 0);
  CHECK((sound - heard.begin()) % 2 == 0);
  // A player's first and last block may be missing; nothing in between is.
  const auto first = std::find(wav.samples.begin(), wav.samples.end(), *sound);
  const auto same = std::mismatch(sound, heard.end(), first, wav.samples.end()).first - sound;
  MESSAGE("the same: " << same << " of " << wav.samples.size());
  CHECK(static_cast<std::size_t>(same) > wav.samples.size() - 2 * kMostMissing);
}

TEST_CASE("a calibrated input tells sound pressure, and one that is not never does") {
  Desktop desktop;
  // What an output plays stands for a microphone. Full scale is 1; the tone's RMS is told.
  const auto play = [&](double rms_dbfs) {
    tests::RawWav wav;
    wav.channels = 2;
    for (int n = 0; n < 20 * 48000; ++n) {
      const double sample = std::sqrt(2.0) * std::pow(10.0, rms_dbfs / 20.0) *
                            std::sin(2.0 * std::numbers::pi * 1000.0 * n / 48000.0);
      wav.samples.insert(wav.samples.end(), 2, static_cast<float>(sample));
    }
    tests::write_bytes(desktop.directory / "tone.wav", wav.bytes());
    return std::make_unique<tests::Process>(
        std::vector<std::string>{
            "pw-cat", "-p", "--volume=1.0", "--target=front", desktop.directory / "tone.wav"},
        desktop.server.client_options("player.err"));
  };
  const std::vector<std::string> calibrate{
      BRINK_EXECUTABLE, "calibrate", "--input", "Monitor of Front", "--level", "94"};
  {
    tests::Process silent(calibrate, desktop.server.client_options("silent.err"));
    CHECK(silent.wait(kPatienceS) == 2);
    Listener listener(desktop, {"--input", "Monitor of Front"});
    const auto event = listener.event("levels");
    REQUIRE(event.has_value());
    CHECK_FALSE((*event)["levels"][0].contains("laeq_db"));
  }
  {
    const auto player = play(-30.0);
    REQUIRE(desktop.server.becomes_joined("pw-cat"));
    tests::Process brink(calibrate, desktop.server.client_options("calibrate.err"));
    const auto line = brink.read_line(kPatienceS);
    REQUIRE(line.has_value());
    CHECK(*line ==
          "Monitor of Front Speakers (PipeWire), channel 1: 94 dB SPL is -30.0 dBFS; "
          "remembered.");
  }
  const auto player = play(-10.0);
  REQUIRE(desktop.server.becomes_joined("pw-cat"));
  Listener listener(desktop, {"--input", "Monitor of Front", "--taps", "1,2"});
  std::optional<json> event;
  do {
    event = listener.event("levels");
    REQUIRE(event.has_value());
  } while (!(*event)["levels"][0].contains("laeq_db") || (*event)["stream_s"] < 2.5);
  CHECK((*event)["levels"][0]["laeq_1s_db"].get<double>() == doctest::Approx(114.0).epsilon(0.001));
  CHECK_FALSE((*event)["levels"][1].contains("laeq_db"));  // another channel, another microphone
}

TEST_CASE("joins made by hand are there again after PipeWire was frozen") {
  Desktop desktop;
  Listener listener(desktop, {"--input", "Stage Mic"});
  REQUIRE(listener.event("levels").has_value());
  desktop.server.link("deskin:capture_AUX2", "brink:input_AUX0");
  const std::string both = std::string("deskin:capture_AUX2 -> brink:input_AUX0\n") + kMicJoin;
  CHECK(desktop.server.joins() == both);
  REQUIRE(listener.event("levels").has_value());
  desktop.server.process().send_signal(SIGSTOP);
  REQUIRE(listener.event("input-lost", 3.0, "frozen").has_value());
  const int child = tests::first_child(listener.brink.pid());
  const auto begun = Clock::now();
  while (tests::first_child(listener.brink.pid()) == child && seconds_since(begun) < kPatienceS) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));  // until it is given up
  }
  desktop.server.process().send_signal(SIGCONT);
  REQUIRE(listener.event("input-back", 10.0).has_value());
  CHECK(desktop.server.joins() == both);
}

TEST_CASE("a PipeWire server that is killed and started again does not stop the listening") {
  Desktop desktop;
  Listener listener(desktop, {"--input", "Stage Mic"});
  REQUIRE(listener.event("levels").has_value());
  const auto killed = Clock::now();
  desktop.server.end(SIGKILL);
  REQUIRE(listener.event("input-lost", 3.0, "vanished").has_value());
  CHECK(seconds_since(killed) < 1.5);
  desktop.server.start();
  desktop.add_mic();
  const auto returned = Clock::now();
  REQUIRE(listener.event("input-back", 5.0).has_value());
  MESSAGE("back " << seconds_since(returned) << " s after the source");
  CHECK(seconds_since(returned) < 1.0);
  CHECK(desktop.server.joins() == kMicJoin);
}
