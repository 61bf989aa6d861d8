// The player on a real sound server, its output recorded by another client.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <span>
#include <thread>
#include <vector>

#include "base/units.h"
#include "io/live/play_memory.h"
#include "io/live/player.h"
#include "support/files.h"
#include "support/jack_server.h"

using namespace brink;
using io::Player;
using State = io::Player::State;

namespace {

using Clock = std::chrono::steady_clock;

constexpr double kRateHz = 48000.0;
constexpr double kPatienceS = 15.0;  // only ever spent when something hangs

double seconds_since(Clock::time_point then) {
  return std::chrono::duration<double>(Clock::now() - then).count();
}

void wait_s(double length_s) {
  std::this_thread::sleep_for(std::chrono::duration<double>(length_s));
}

bool becomes(Player& player, State state, double patience_s = kPatienceS) {
  const auto begun = Clock::now();
  while (player.state() != state && seconds_since(begun) < patience_s) {
    wait_s(0.002);
  }
  return player.state() == state;
}

/// A server, a player on it and who listens to that. The player's child finds the server by the
/// environment of this process.
struct Stand {
  tests::TemporaryDirectory place;
  tests::JackServer server{place / ""};
  std::unique_ptr<tests::Process> recorder;

  Stand() {
    for (const auto& [name, value] : server.client_options("").environment) {
      setenv(name.c_str(), value.c_str(), 1);  // NOLINT(concurrency-mt-unsafe): one thread
    }
  }

  ~Stand() { unsetenv("JACK_DEFAULT_SERVER"); }  // NOLINT(concurrency-mt-unsafe)

  Stand(const Stand&) = delete;
  Stand& operator=(const Stand&) = delete;
  Stand(Stand&&) = delete;
  Stand& operator=(Stand&&) = delete;

  void listen() {
    recorder =
        std::make_unique<tests::Process>(std::vector<std::string>{JACK_RECORDER, "brink-out:out_0"},
                                         server.client_options("recorder.err"));
    REQUIRE(recorder->read_line(kPatienceS) == "ready");
  }

  /// The server may take some tries until it is up.
  std::unique_ptr<Player> player(double rate_hz, const std::vector<float>& samples) {
    for (int tries = 0; tries < 50; ++tries) {
      auto player = std::make_unique<Player>(rate_hz, samples, BRINK_EXECUTABLE);
      if (becomes(*player, State::kSilent, 3.0)) {
        return player;
      }
      wait_s(0.1);
    }
    FAIL("the player did not come up");
    return nullptr;
  }

  std::vector<float> heard() {
    REQUIRE(recorder->write("keep " + (place / "heard") + "\n"));
    REQUIRE(recorder->read_line(kPatienceS).has_value());
    const std::string bytes = tests::read_bytes(place / "heard");
    std::vector<float> samples(bytes.size() / sizeof(float));
    std::memcpy(samples.data(), bytes.data(), samples.size() * sizeof(float));
    return samples;
  }
};

std::vector<float> steady(double length_s, double rate_hz = kRateHz) {
  return std::vector<float>(static_cast<std::size_t>(length_s * rate_hz), 0.9F);
}

constexpr float kHalfLevel = 0.045F;  // of 0.9 at -20 dB

std::size_t first_at(const std::vector<float>& samples, float level, std::size_t from = 0) {
  return static_cast<std::size_t>(std::find_if(samples.begin() + static_cast<std::ptrdiff_t>(from),
                                               samples.end(),
                                               [&](float sample) { return sample >= level; }) -
                                  samples.begin());
}

std::size_t last_at(const std::vector<float>& samples, float level) {
  std::size_t at = samples.size();
  while (at > 0 && samples[at - 1] < level) {
    --at;
  }
  return at;
}

}  // namespace

TEST_CASE("the player begins silent, rises, stops at once by its ramp, and ends by itself") {
  Stand stand;
  const auto player = stand.player(kRateHz, steady(2.0));
  stand.listen();
  wait_s(0.5);
  const auto silence = stand.heard();
  CHECK(silence.size() > 4800);
  CHECK(std::all_of(silence.begin(), silence.end(), [](float s) { return s == 0.0F; }));

  player->play();
  REQUIRE(becomes(*player, State::kPlaying));
  wait_s(1.0);
  const auto asked = Clock::now();
  player->stop();
  REQUIRE(becomes(*player, State::kSilent));
  const double stopped_s = seconds_since(asked);
  wait_s(0.2);
  const auto sound = stand.heard();
  const std::size_t from = first_at(sound, 1e-9F);
  const double up_s = static_cast<double>(first_at(sound, 0.0899F) - from) / kRateHz;
  const double down_s =
      static_cast<double>(last_at(sound, 1e-9F) - last_at(sound, 0.0899F)) / kRateHz;
  MESSAGE("up in " << up_s << " s, down in " << down_s << " s, silent " << stopped_s
                   << " s after the call");
  // The ramps are exact, whatever the period.
  CHECK(up_s == doctest::Approx(io::kPlayRampUpS).epsilon(0.01));
  CHECK(down_s == doctest::Approx(io::kPlayRampDownS).epsilon(0.02));
  CHECK(first_at(sound, kHalfLevel, from) - from ==
        doctest::Approx(0.5 * io::kPlayRampUpS * kRateHz).epsilon(0.01));
  const float most = *std::max_element(sound.begin(), sound.end());
  CHECK(most == doctest::Approx(0.09F));  // 0.9 at -20 dB

  player->set_level_db(0.0);
  player->play(static_cast<std::int64_t>(1.5 * kRateHz));
  REQUIRE(becomes(*player, State::kPlaying));
  REQUIRE(becomes(*player, State::kSilent));  // by itself
  CHECK(player->position() == static_cast<std::int64_t>(2.0 * kRateHz));
  wait_s(0.2);
  const auto all = stand.heard();
  const float loudest = *std::max_element(all.begin(), all.end());
  CHECK(static_cast<double>(loudest) <= base::db_to_amplitude(io::kPlayCeilingDbfs) * (1.0 + 1e-6));
  CHECK(static_cast<double>(loudest) > 0.9 * base::db_to_amplitude(io::kPlayCeilingDbfs));
}

TEST_CASE("a sound at another rate than the server's is converted") {
  Stand stand;
  std::vector<float> tone(static_cast<std::size_t>(2.0 * 44100.0));
  for (std::size_t n = 0; n < tone.size(); ++n) {
    tone[n] = static_cast<float>(
        0.5 * std::sin(2.0 * 3.141592653589793 * 1000.0 * static_cast<double>(n) / 44100.0));
  }
  const auto player = stand.player(44100.0, tone);
  stand.listen();
  player->play();
  REQUIRE(becomes(*player, State::kPlaying));
  REQUIRE(becomes(*player, State::kSilent));
  wait_s(0.2);
  const auto heard = stand.heard();
  const std::size_t from = first_at(heard, 1e-9F);
  // A second of it, after the ramp: 1000 whole cycles, by their upward crossings.
  int crossings = 0;
  for (std::size_t n = from + 24000; n < from + 72000; ++n) {
    crossings += heard.at(n - 1) < 0.0F && heard.at(n) >= 0.0F ? 1 : 0;
  }
  CHECK(std::abs(crossings - 1000) <= 1);
  const double length_s = static_cast<double>(last_at(heard, 1e-6F) - from) / kRateHz;
  CHECK(length_s == doctest::Approx(2.0).epsilon(0.005));
}

TEST_CASE("exercises sound in the terminal, and end softly even when the program is killed") {
  Stand stand;
  wait_s(1.0);  // until the server is up
  tests::Process brink({BRINK_EXECUTABLE, "ear", "--no-book", "--seed", "5", "--count", "1"},
                       stand.server.client_options("brink.err"));
  stand.listen();
  const auto peak_of = [](std::span<const float> samples) {
    float peak = 0.0F;
    for (const float sample : samples) {
      peak = std::max(peak, std::abs(sample));
    }
    return peak;
  };
  // A ring that the limiter holds at -18 dBFS, played 20 dB lower, is above 0.01.
  constexpr float kRinging = 0.01F;
  const auto begun = Clock::now();
  while (peak_of(stand.heard()) < kRinging && seconds_since(begun) < kPatienceS) {
    wait_s(0.05);
  }
  wait_s(0.3);
  brink.send_signal(SIGKILL);
  CHECK(brink.wait(kPatienceS) == 128 + SIGKILL);
  wait_s(0.5);
  const auto all = stand.heard();
  std::size_t end = all.size();
  while (end > 0 && all[end - 1] == 0.0F) {
    --end;
  }
  REQUIRE(end > 4800);
  CHECK(end < all.size());  // silence follows
  const auto before_end = [&](double from_s, double to_s) {
    const auto from = end - static_cast<std::size_t>(from_s * kRateHz);
    const auto to = end - static_cast<std::size_t>(to_s * kRateHz);
    return peak_of(std::span(all).subspan(from, to - from));
  };
  const float ring = before_end(0.05, 0.025);
  CHECK(ring > kRinging);
  // On the straight line down the last quarter is below a quarter, the last half below half.
  CHECK(before_end(0.25 * io::kPlayRampDownS, 0.0) < 0.3F * ring);
  CHECK(before_end(0.5 * io::kPlayRampDownS, 0.0) < 0.55F * ring);
}

TEST_CASE("neither a frozen nor a dead server hangs the player's caller") {
  Stand stand;
  auto player = stand.player(kRateHz, steady(20.0));
  player->play();
  REQUIRE(becomes(*player, State::kPlaying));
  stand.server.process().send_signal(SIGSTOP);
  auto asked = Clock::now();
  player->stop();
  (void)player->state();
  CHECK(seconds_since(asked) < 0.1);
  stand.server.process().send_signal(SIGCONT);
  CHECK(becomes(*player, State::kSilent));

  stand.server.end(SIGKILL);
  CHECK(becomes(*player, State::kFailed, 5.0));
  CHECK(player->why() == "The sound output went away.");
  asked = Clock::now();
  player.reset();
  CHECK(seconds_since(asked) < 3.0);
}
