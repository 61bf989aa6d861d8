// `brink sweep` on a real sound server, against a room whose response is known.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstring>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <span>
#include <string>
#include <thread>
#include <vector>

#include "io/live/play_memory.h"
#include "live/live_loop.h"

using namespace brink;
using nlohmann::json;

namespace {

constexpr double kPatienceS = 60.0;

/// Sweeps the room. The way round that the room's truth is told for is given as a distance, since
/// nothing tells how late the devices are.
std::vector<std::string> sweep_words(const tests::LiveLoop& loop, const std::string& length_s) {
  const double delay_s = loop.truth().delay_samples / loop.truth().sample_rate_hz;
  return {BRINK_EXECUTABLE,
          "sweep",
          "--output",
          "room",
          "--input",
          "room",
          "--length",
          length_s,
          "--decay",
          "0.5",
          "--distance",
          std::to_string(delay_s * 343.2),
          "--console-delay",
          "0",
          "--format",
          "json"};
}

/// Reads to the end of its output.
std::string all_output(tests::Process& process) {
  std::string all;
  while (const auto line = process.read_line(kPatienceS)) {
    all += *line + "\n";
  }
  return all;
}

/// A busy machine can lose samples; then brink refuses the sweep and asks for another one.
bool is_refused(const std::string& said) {
  return said.find("samples were lost") != std::string::npos;
}

/// What a sweep of 2 s answers. Another one where brink refused it.
std::string sweep(tests::LiveLoop& loop) {
  for (int tries = 1;; ++tries) {
    tests::Process brink(sweep_words(loop, "2"), loop.server().client_options("sweep.err"));
    REQUIRE(brink.write("\n"));
    std::string answer = all_output(brink);
    const std::optional<int> status = brink.wait(kPatienceS);
    const std::string said = tests::read_bytes(loop.path("sweep.err"));
    CAPTURE(said);
    const bool is_asked_again = status == 2 && is_refused(said);
    if (tries == 5 || !is_asked_again) {
      REQUIRE(status == 0);
      return answer;
    }
  }
}

/// All that the output had of a sweep that Ctrl-C stopped three seconds after it began to sound,
/// where it is well over 100 Hz; nothing when brink refused it before that.
std::optional<std::vector<float>> stopped_sweep(tests::LiveLoop& loop) {
  std::filesystem::remove(loop.path("stop.err"));  // of the sweep before
  tests::Process brink(sweep_words(loop, "20"), loop.server().client_options("stop.err"));
  tests::Process recorder({JACK_RECORDER, "brink-out:out_0"},
                          loop.server().client_options("recorder.err"));
  REQUIRE(recorder.read_line(kPatienceS) == "ready");
  REQUIRE(brink.write("\n"));
  const auto heard = [&] {
    REQUIRE(recorder.write("keep " + loop.path("heard") + "\n"));
    REQUIRE(recorder.read_line(kPatienceS).has_value());
    const std::string bytes = tests::read_bytes(loop.path("heard"));
    std::vector<float> samples(bytes.size() / sizeof(float));
    std::memcpy(samples.data(), bytes.data(), samples.size() * sizeof(float));
    return samples;
  };
  const auto said = [&] { return tests::read_bytes(loop.path("stop.err")); };
  const auto begun = std::chrono::steady_clock::now();
  const auto is_patient = [&] {
    return std::chrono::steady_clock::now() - begun < std::chrono::seconds(30);
  };
  std::size_t sounding = 0;
  while (sounding < 144000 && is_patient() && !is_refused(said())) {
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    const auto samples = heard();
    const auto first = std::find_if(
        samples.begin(), samples.end(), [](float sample) { return std::abs(sample) > 0.005F; });
    sounding = static_cast<std::size_t>(samples.end() - first);
  }
  if (!is_refused(said())) {
    brink.send_signal(SIGINT);
  }
  const std::optional<int> status = brink.wait(kPatienceS);
  if (status == 2 && is_refused(said())) {
    return std::nullopt;
  }
  INFO("brink said: " << said());
  REQUIRE(sounding >= 144000);
  CHECK(status == 128 + SIGINT);
  return heard();
}

}  // namespace

TEST_CASE("a sweep foretells where a room will ring, and with how much gain") {
  tests::LiveLoop loop;
  loop.start_room(0.0, -90.0);  // the loop at its brink, were it closed
  loop.tell_room("open");
  const json answer = json::parse(sweep(loop));
  CHECK(answer["schema"] == "brink/sweep/1");
  CHECK(answer["from"] == "sweep");
  CHECK(answer["delay_known"] == true);
  CHECK(std::abs(answer["stable_gain_db"].get<double>()) < 0.5);
  REQUIRE(!answer["rings"].empty());
  const double truth_hz = loop.truth().leader(loop.truth().brink_gain_db()).frequency_hz;
  CHECK(answer["rings"][0]["frequency_hz"].get<double>() ==
        doctest::Approx(truth_hz).epsilon(0.005));
  CHECK(answer["measurement"]["clipped_samples"] == 0);
  CHECK(std::abs(answer["measurement"]["clock_ppm"].get<double>()) < 1.0);
  CHECK(answer["plan"]["stable_gain_won_db"].get<double>() > 1.0);
}

TEST_CASE("a sweep is not begun when the loop is closed and comes to ring") {
  tests::LiveLoop loop;
  loop.start_room(-6.0, -60.0);
  tests::Process brink(sweep_words(loop, "2"), loop.server().client_options("closed.err"));
  // The room's own input and brink's. A ring is known by its growth, so it must begin after that.
  for (int tries = 0; loop.tell_room("connections") < 2 && tries < 500; ++tries) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  loop.set_gain(1.0);
  (void)all_output(brink);
  CHECK(brink.wait(kPatienceS) == 2);
  CHECK(tests::read_bytes(loop.path("closed.err")).find("rings at") != std::string::npos);
}

TEST_CASE("Ctrl-C stops a sweep by a short ramp") {
  tests::LiveLoop loop;
  loop.start_room(-20.0, -90.0);
  loop.tell_room("open");
  const auto peak = [](std::span<const float> samples) {
    float highest = 0.0F;
    for (const float sample : samples) {
      highest = std::max(highest, std::abs(sample));
    }
    return highest;
  };
  std::optional<std::vector<float>> stopped;
  for (int tries = 0; !stopped && tries < 5; ++tries) {
    stopped = stopped_sweep(loop);
  }
  REQUIRE(stopped.has_value());
  const std::vector<float>& all = *stopped;
  std::size_t end = all.size();
  while (end > 0 && all[end - 1] == 0.0F) {
    --end;
  }
  REQUIRE(end > 144000);
  CHECK(peak(all) <= 0.0101F);  // -40 dBFS
  // On the straight line down the last half is under half.
  const auto half = static_cast<std::size_t>(0.5 * io::kPlayRampDownS * 48000.0);
  CHECK(peak(std::span(all).subspan(end - half, half)) < 0.55F * 0.01F);
  CHECK(peak(std::span(all).subspan(end - 2400, 960)) > 0.009F);
}
