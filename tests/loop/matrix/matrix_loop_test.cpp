#include "loop/matrix/matrix_loop.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "base/units.h"
#include "cuts/filters.h"
#include "loop/band_limits.h"
#include "loop/matrix/matrix_scene.h"
#include "loop/room.h"

using namespace brink::loop;
using brink::base::amplitude_to_db;
using brink::base::db_to_amplitude;

namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

/// A delay of 10 ms and nothing else.
std::vector<double> echo(double gain_lin) {
  std::vector<double> taps(481);
  taps.back() = gain_lin;
  return taps;
}

/// Two microphones and two outputs. Each microphone goes to one output alone, so that the loop's
/// matrix is that of the paths.
MatrixConfig two_by_two(double a, double b, double c, double d) {
  MatrixConfig config;
  config.console_delay_s = 0.0;
  config.path = {{echo(a), echo(b)}, {echo(c), echo(d)}};
  config.channels = {{0.0, false, {}, {1.0, 0.0}}, {0.0, false, {}, {0.0, 1.0}}};
  config.outputs.resize(2);
  return config;
}

RoomConfig dead_room(std::uint64_t path) {
  RoomConfig room;
  room.t60_s = 0.2;
  room.path_seed = path;
  room.microphone = {6.0 + 0.3 * static_cast<double>(path), 4.5, 1.5};
  return room;
}

/// Through a loudspeaker's limits: a room alone would ring at 0 Hz.
std::vector<double> path_in(const RoomConfig& room) {
  std::vector<double> taps = room_response(room);
  apply({90.0, 7000.0}, room.sample_rate_hz, taps);
  return taps;
}

/// Microphones into one output.
MatrixConfig one_output(std::size_t microphones) {
  MatrixConfig config;
  for (std::size_t i = 0; i < microphones; ++i) {
    config.path.push_back({path_in(dead_room(i + 1))});
    config.channels.push_back({-3.0 * static_cast<double>(i), false, {}, {1.0}});
  }
  config.outputs.resize(1);
  return config;
}

double sum(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) {
    sum += value;
  }
  return sum;
}

Crossing highest(const MatrixLoop& loop) {
  const std::vector<Crossing> all = loop.crossings(-loop.max_stable_gain_db() - 0.01);
  REQUIRE(!all.empty());
  return *std::max_element(all.begin(), all.end(), [](const Crossing& a, const Crossing& b) {
    return a.gain_db < b.gain_db;
  });
}

}  // namespace

TEST_CASE("one microphone and one output are the one loop that OpenLoop describes") {
  MatrixConfig config = one_output(1);
  config.channels.front().sections = {brink::cuts::design_peaking(900.0, 3.0, -5.0, 48000.0)};
  config.outputs.front().sections = {brink::cuts::design_peaking(2100.0, 5.0, -8.0, 48000.0)};
  std::vector<double> taps(72);  // 1.5 ms of console
  const std::vector<double>& path = config.path.front().front();
  taps.insert(taps.end(), path.begin(), path.end());
  const OpenLoop one{
      taps,
      {config.channels.front().sections.front(), config.outputs.front().sections.front()},
      48000.0};
  const MatrixLoop loop{config};
  const double brink_db = max_stable_gain_db(one);
  CHECK(loop.max_stable_gain_db() == doctest::Approx(brink_db).epsilon(1e-9));
  const std::vector<Crossing> expected = one.crossings(one.response(), -brink_db - 6.0);
  const std::vector<Crossing> found = loop.crossings(-brink_db - 6.0);
  REQUIRE(found.size() == expected.size());
  for (std::size_t i = 0; i < found.size(); ++i) {
    CHECK(found[i].frequency_hz == doctest::Approx(expected[i].frequency_hz).epsilon(1e-8));
    CHECK(found[i].gain_db == doctest::Approx(expected[i].gain_db).epsilon(1e-7));
    const auto pole = loop.pole(found[i], brink_db + 1.0);
    const auto same = one.pole(expected[i].frequency_hz, brink_db + 1.0);
    REQUIRE(pole.has_value() == same.has_value());
    if (pole) {
      CHECK(pole->frequency_hz == doctest::Approx(same->frequency_hz).epsilon(1e-8));
      CHECK(pole->growth_db_per_s == doctest::Approx(same->growth_db_per_s).epsilon(1e-6));
      CHECK(loop.shares(*pole, brink_db + 1.0).microphone.front() == doctest::Approx(1.0));
    }
  }
}

TEST_CASE("two loops through one delay: brink and shares are those of the 2 by 2 matrix") {
  constexpr double kA = 0.5;
  constexpr double kB = 0.3;
  constexpr double kC = 0.4;
  constexpr double kD = 0.2;
  const MatrixLoop loop{two_by_two(kA, kB, kC, kD)};
  // Closed form: the larger eigenvalue, and its participation (eigenvalue - d) / (2 eigenvalue - a
  // - d) of the first.
  const double eigenvalue = 0.5 * (kA + kD + std::sqrt((kA - kD) * (kA - kD) + 4.0 * kB * kC));
  CHECK(loop.max_stable_gain_db() == doctest::Approx(-amplitude_to_db(eigenvalue)).epsilon(1e-9));
  // Whole turns of 10 ms: every 100 Hz. The smaller eigenvalue is negative and gives half turns.
  const std::vector<Crossing> all = loop.crossings(amplitude_to_db(eigenvalue) - 3.0);
  REQUIRE(all.size() == 241);
  CHECK(all.front().frequency_hz == 0.0);
  CHECK(all[1].frequency_hz == doctest::Approx(100.0).epsilon(1e-9));
  CHECK(all[10].frequency_hz == doctest::Approx(1000.0).epsilon(1e-9));
  const double extra_db = loop.max_stable_gain_db() + 0.5;
  const auto pole = loop.pole(all[10], extra_db);
  REQUIRE(pole.has_value());
  CHECK(pole->growth_db_per_s == doctest::Approx(50.0).epsilon(1e-6));  // 0.5 dB a turn of 10 ms
  const Shares shares = loop.shares(*pole, extra_db);
  const double first = (eigenvalue - kD) / (2.0 * eigenvalue - kA - kD);
  CHECK(shares.microphone[0] == doctest::Approx(first).epsilon(1e-6));
  CHECK(shares.microphone[1] == doctest::Approx(1.0 - first).epsilon(1e-6));
  // Each microphone goes to one output alone.
  CHECK(shares.pair[0][0] == doctest::Approx(first).epsilon(1e-6));
  CHECK(shares.pair[0][1] == doctest::Approx(0.0));
}

TEST_CASE(
    "a loop that closes through two microphones alone rings, though neither rings by itself") {
  const MatrixLoop loop{two_by_two(0.0, 0.8, 0.5, 0.0)};
  CHECK(loop.max_stable_gain_db() ==
        doctest::Approx(-amplitude_to_db(std::sqrt(0.4))).epsilon(1e-9));
  const Crossing ring = highest(loop);
  const double extra_db = loop.max_stable_gain_db();
  const auto pole = loop.pole(ring, extra_db);
  REQUIRE(pole.has_value());
  // Once round passes both, so each has half of it.
  CHECK(loop.shares(*pole, extra_db).microphone[0] == doctest::Approx(0.5).epsilon(1e-6));
}

TEST_CASE("a share says what one fader does: the pole moves as far as its share foretells") {
  MatrixSceneOptions options;
  options.stage.room.t60_s = 0.25;
  options.stage.room.seed = 3;
  options.microphones = 3;
  options.outputs = 2;
  const MatrixConfig config = build_matrix_scene(options).stage;
  const MatrixLoop loop{config};
  const Crossing ring = highest(loop);
  const auto pole = loop.pole(ring, 0.0);
  REQUIRE(pole.has_value());
  const Shares shares = loop.shares(*pole, 0.0);
  CHECK(sum(shares.microphone) == doctest::Approx(1.0).epsilon(1e-6));
  // With all faders up by 0.01 dB the pole moves by some way in the complex plane, with one fader
  // by its complex share of that way.
  constexpr double kStepDb = 0.01;
  const auto complex = [](const Pole& at) {
    return std::complex<double>{at.growth_db_per_s / (20.0 / std::numbers::ln10),
                                kTurn * at.frequency_hz};
  };
  const auto all = loop.pole(ring, kStepDb);
  REQUIRE(all.has_value());
  const std::complex<double> whole = complex(*all) - complex(*pole);
  for (std::size_t i = 0; i < config.channels.size(); ++i) {
    MatrixConfig raised = config;
    raised.channels[i].gain_db += kStepDb;
    const auto moved = MatrixLoop{raised}.pole(ring, 0.0);
    REQUIRE(moved.has_value());
    // What the square of a step of 0.1 % leaves.
    CHECK(std::abs(((complex(*moved) - complex(*pole)) / whole).real() - shares.microphone[i]) <
          0.005);
  }
}

TEST_CASE("into one output a share is the channel's part of the mix") {
  const MatrixConfig config = one_output(3);
  const MatrixLoop loop{config};
  const Crossing ring = highest(loop);
  const double extra_db = loop.max_stable_gain_db();  // on the brink, so s is on the axis
  const auto pole = loop.pole(ring, extra_db);
  REQUIRE(pole.has_value());
  const Shares shares = loop.shares(*pole, extra_db);
  std::vector<std::complex<double>> part;
  std::complex<double> mix;
  for (std::size_t i = 0; i < 3; ++i) {
    std::complex<double> value;
    const std::vector<double>& path = config.path[i].front();
    for (std::size_t n = 0; n < path.size(); ++n) {
      value +=
          path[n] * std::polar(1.0, -kTurn * ring.frequency_hz * static_cast<double>(n) / 48000.0);
    }
    part.push_back(value * gain_lin(config.channels[i]));
    mix += part.back();
  }
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(shares.microphone[i] == doctest::Approx((part[i] / mix).real()).epsilon(1e-5));
  }
}

TEST_CASE("a cut in the output takes its whole depth off a ring, a cut in a channel by its share") {
  const MatrixConfig config = one_output(2);
  const MatrixLoop loop{config};
  const Crossing ring = highest(loop);
  const double extra_db = loop.max_stable_gain_db();
  const auto pole = loop.pole(ring, extra_db);
  REQUIRE(pole.has_value());
  const Shares shares = loop.shares(*pole, extra_db);
  // At its centre a peaking cut turns no phase, so the place keeps its frequency.
  constexpr double kDepthDb = -0.5;
  const auto cut = brink::cuts::design_peaking(ring.frequency_hz, 2.0, kDepthDb, 48000.0);
  const auto gain_db_of = [&](const MatrixConfig& with) {
    double found_db = -200.0;
    for (const Crossing& crossing : MatrixLoop{with}.crossings(ring.gain_db - 3.0)) {
      if (std::abs(crossing.frequency_hz - ring.frequency_hz) < 2.0) {
        found_db = std::max(found_db, crossing.gain_db);
      }
    }
    return found_db;
  };
  MatrixConfig output_cut = config;
  output_cut.outputs.front().sections = {cut};
  CHECK(gain_db_of(output_cut) - ring.gain_db == doctest::Approx(kDepthDb).epsilon(1e-3));
  double channels_db = 0.0;
  for (std::size_t i = 0; i < 2; ++i) {
    MatrixConfig channel_cut = config;
    channel_cut.channels[i].sections = {cut};
    const double won_db = gain_db_of(channel_cut) - ring.gain_db;
    // A small cut; the square of the step and the small turn of the place remain.
    CHECK(won_db == doctest::Approx(kDepthDb * shares.microphone[i]).epsilon(0.1));
    channels_db += won_db;
  }
  CHECK(channels_db == doctest::Approx(kDepthDb).epsilon(0.1));
}

TEST_CASE("polarity: two microphones alike double the loop gain, and one inverted ends it") {
  MatrixConfig config = one_output(1);
  const double one_db = MatrixLoop{config}.max_stable_gain_db();
  config.path.push_back(config.path.front());
  config.channels.push_back(config.channels.front());
  CHECK(MatrixLoop{config}.max_stable_gain_db() ==
        doctest::Approx(one_db - amplitude_to_db(2.0)).epsilon(1e-9));
  config.channels.back().is_inverted = true;
  CHECK(MatrixLoop{config}.max_stable_gain_db() == kUnlimitedGainDb);
}

TEST_CASE("open microphones cost 10 log10 of their number, on average over rooms") {
  // As reach takes it. Responses of one power with phases of their own add as powers. The largest
  // of many peaks scatters by about 1 dB from room to room, so 12 rooms give the mean to 0.4 dB.
  constexpr std::size_t kMicrophones = 8;
  constexpr int kRooms = 12;
  double cost_db = 0.0;
  for (int room = 0; room < kRooms; ++room) {
    MatrixConfig config;
    config.outputs.resize(1);
    for (std::size_t i = 0; i < kMicrophones; ++i) {
      RoomConfig place;
      place.sample_rate_hz = 16000.0;
      place.t60_s = 0.3;
      place.seed = 100 + static_cast<std::uint64_t>(room);
      place.path_seed = i + 1;
      place.pattern = Pattern::kOmni;
      place.loudspeaker = {2.0, 2.0, 0.5};
      // Far from the loudspeaker, so that all hear it equally loud.
      place.microphone = {
          8.0 + 0.7 * static_cast<double>(i), 3.0 + 0.6 * static_cast<double>(i), 1.5};
      config.path.push_back({path_in(place)});
      config.channels.push_back({0.0, false, {}, {1.0}});
    }
    config.sample_rate_hz = 16000.0;
    const double all_db = MatrixLoop{config}.max_stable_gain_db();
    double alone_db = 0.0;
    for (std::size_t i = 0; i < kMicrophones; ++i) {
      MatrixConfig one = config;
      for (std::size_t k = 0; k < kMicrophones; ++k) {
        one.channels[k].send_lin = {k == i ? 1.0 : 0.0};
      }
      alone_db += MatrixLoop{one}.max_stable_gain_db() / kMicrophones;
    }
    cost_db += (alone_db - all_db) / kRooms;
  }
  MESSAGE("mean cost of 8 open microphones: ", cost_db, " dB");
  CHECK(std::abs(cost_db - 10.0 * std::log10(8.0)) < 1.2);
}

TEST_CASE("a stage of several microphones refuses what does not fit together") {
  MatrixConfig config = two_by_two(1.0, 1.0, 1.0, 1.0);
  config.channels.front().send_lin.pop_back();
  CHECK_THROWS_AS(MatrixLoop{config}, brink::base::Error);
  config = two_by_two(1.0, 1.0, 1.0, 1.0);
  config.path.pop_back();
  CHECK_THROWS_AS(MatrixLoop{config}, brink::base::Error);
}
