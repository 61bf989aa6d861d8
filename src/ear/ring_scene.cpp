#include "ear/ring_scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <optional>

#include "base/biquad.h"
#include "base/error.h"
#include "base/units.h"
#include "cuts/filters.h"
#include "loop/band_limits.h"
#include "loop/open_loop.h"
#include "loop/random.h"
#include "loop/room.h"

namespace brink::ear {
namespace {

constexpr double kRateHz = 48000.0;
constexpr double kAheadDb = 6.0;        // above every other frequency of the loop
constexpr double kTailS = 0.1;          // the resonance decays within this, even at 100 Hz
constexpr double kLeastDelayS = 0.004;  // delay of the console before the trim
constexpr double kBelowBrinkDb = -6.0;  // loop gain before the step, re brink
constexpr double kMostExcessDb = 5.0;   // less than kAheadDb, so that nothing else rings
constexpr int kMostRooms = 12;

std::vector<double> room_taps(std::uint64_t seed) {
  loop::Random random{seed};
  loop::RoomConfig room;
  room.sample_rate_hz = kRateHz;
  room.length_m = 6.0;
  room.width_m = 5.0;
  room.height_m = 2.8;
  room.t60_s = 0.15;
  room.seed = seed;
  // The places of microphone and wedge change too. With one place, the first reflections would make
  // the same frequencies weak each time.
  const double distance_m = random.between(0.7, 1.6);
  loop::place_wedge(room, distance_m, random.between(60.0, 150.0));
  std::vector<double> taps = loop::room_response(room);
  loop::apply({70.0, 12000.0}, kRateHz, taps);
  return taps;
}

/// About as wide as the distance between whole turns: 150 Hz for a loop of 7 ms. So a neighbour is
/// not raised with it. The Q is limited, so that a narrow resonance does not take long to build up.
double resonance_q(double centre_hz) {
  return std::clamp(centre_hz / 150.0, 6.0, 40.0);
}

void resonate(double centre_hz, double boost_db, std::vector<double>& taps) {
  base::BiquadRunner runner;
  runner.set_section(cuts::design_peaking(centre_hz, resonance_q(centre_hz), boost_db, kRateHz));
  taps.resize(taps.size() + static_cast<std::size_t>(kTailS * kRateHz));
  for (double& tap : taps) {
    tap = runner.step(tap);
  }
}

loop::OpenLoop open_loop(const loop::StageConfig& stage) {
  return {loop::loop_taps(stage, 0.0), {}, kRateHz};
}

/// Console delay with which the loop's phase is a whole turn at the frequency, rounded to a sample.
double trimmed_delay_s(const loop::StageConfig& stage, double frequency_hz) {
  const double phase = std::arg(open_loop(stage).at_hz(frequency_hz).gain);
  const double turns = phase / (2.0 * std::numbers::pi);
  const double more_turns = turns < 0.0 ? turns + 1.0 : turns;
  const double delay_s = stage.console_delay_s + more_turns / frequency_hz;
  return std::round(delay_s * kRateHz) / kRateHz;
}

struct Tried {
  RingScene ring;
  bool is_good = false;
  double off_cents = 0.0;
};

Tried try_room(const RingSceneOptions& options, std::uint64_t seed) {
  Tried tried;
  loop::StageConfig& stage = tried.ring.scene.stage;
  stage.sample_rate_hz = kRateHz;
  stage.limit_dbfs = options.limit_dbfs;
  stage.console_delay_s = kLeastDelayS;
  stage.response = room_taps(seed);
  const loop::OpenLoop bare = open_loop(stage);
  const double here_db = base::amplitude_to_db(std::abs(bare.at_hz(options.wanted_hz).gain));
  // The highest gain of all frequencies, not only of whole turns, since the trim moves these.
  double highest_db = base::kSilenceDb;
  for (const std::complex<double>& gain : bare.response().gain) {
    highest_db = std::max(highest_db, base::amplitude_to_db(std::abs(gain)));
  }
  const double boost_db = highest_db - here_db + kAheadDb;
  resonate(options.wanted_hz, boost_db, stage.response);
  stage.console_delay_s = trimmed_delay_s(stage, options.wanted_hz);

  const loop::OpenLoop loop = open_loop(stage);
  const auto crossings = loop.crossings(loop.response(), -200.0);
  const auto leader =
      std::max_element(crossings.begin(), crossings.end(), [](const auto& a, const auto& b) {
        return a.gain_db < b.gain_db;
      });
  if (leader == crossings.end()) {
    return tried;
  }
  for (double& tap : stage.response) {
    tap *= base::db_to_amplitude(-leader->gain_db);
  }
  double next_db = -200.0;
  for (const loop::Crossing& crossing : crossings) {
    if (crossing.frequency_hz != leader->frequency_hz) {
      next_db = std::max(next_db, crossing.gain_db - leader->gain_db);
    }
  }
  tried.ring.excess_db = std::clamp(
      options.growth_db_per_s * loop.group_delay_s(leader->frequency_hz), 0.1, kMostExcessDb);
  const auto pole = open_loop(stage).pole(leader->frequency_hz, tried.ring.excess_db);
  tried.ring.ring_hz = pole ? pole->frequency_hz : leader->frequency_hz;
  tried.ring.growth_db_per_s = pole ? pole->growth_db_per_s : 0.0;
  tried.off_cents = std::abs(base::cents_between(tried.ring.ring_hz, options.wanted_hz));
  tried.is_good = pole && tried.ring.growth_db_per_s > 0.5 * options.growth_db_per_s &&
                  next_db < -tried.ring.excess_db - 0.5 && tried.off_cents < 15.0;
  return tried;
}

}  // namespace

RingScene make_ring_scene(const RingSceneOptions& options) {
  if (!(options.wanted_hz >= 100.0 && options.wanted_hz <= 10000.0)) {
    throw base::Error(fmt::format("a ring can be asked for between 100 Hz and 10 kHz; got {:g} Hz.",
                                  options.wanted_hz));
  }
  Tried best;
  for (int room = 0; room < kMostRooms; ++room) {
    Tried tried = try_room(options, options.seed + static_cast<std::uint64_t>(room));
    if (room == 0 || (tried.ring.growth_db_per_s > 0.0 && tried.off_cents < best.off_cents) ||
        tried.is_good) {
      best = std::move(tried);
    }
    if (best.is_good) {
      break;
    }
  }
  loop::Scene& scene = best.ring.scene;
  scene.length_s = options.length_s;
  scene.programme = options.programme;
  scene.programme.sample_rate_hz = kRateHz;
  scene.stage.plan.gain_db = loop::Lines{{{0.0, kBelowBrinkDb},
                                          {options.start_s, kBelowBrinkDb},
                                          {options.start_s, best.ring.excess_db}}};
  return best.ring;
}

}  // namespace brink::ear
