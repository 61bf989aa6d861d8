#include "robot/robot.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/error.h"
#include "base/units.h"
#include "loop/require.h"
#include "loop/truth.h"
#include "robot/brink_gauge.h"
#include "robot/listened_stage.h"

namespace brink::robot {
namespace {

/// The fader goes up by steps and then stands. If it moved all the time, a ring would not grow in a
/// straight line. It would also grow so slowly that it could reach the limiter unnoticed.
struct Pace {
  double step_db;
  double stand_s;

  [[nodiscard]] double db_per_s() const { return step_db / stand_s; }
};

constexpr Pace kSearching{0.4, 1.0};
/// The place where the fader is left comes from a slower reading. While the fader rises by r dB/s,
/// a ring of delay T rises by R dB in sqrt(2 R T / r) seconds, and the fader by sqrt(2 R T r) dB:
/// in a hall (T of 0.2 s) by 1.8 dB at the pace above before anything can be heard of it, at this
/// one by 0.9 dB.
constexpr Pace kCareful{0.2, 2.0};
/// After this time the windows of a new detector are full, and the room's own decay is over.
constexpr double kSettleS = 0.5;
/// Rings that are certain within this time count as rings at once.
constexpr double kAtOnceS = 0.05;
/// After the first ring the fader goes up a little more, so that the next rings show too. A plan
/// for many places at once is better (docs/log.md says by how much). This ends when enough rings
/// are certain, after a while, or when a ring is so loud that the limiter is near.
constexpr double kPushDb = 1.2;
constexpr double kPushS = 3.0;
constexpr double kLeastPushS = 0.4;
constexpr int kEnoughRings = 8;
constexpr double kLoudDbfs = -18.0;
/// Then the fader goes down by this much and for this long, to see the rings decay.
constexpr double kDropDb = 3.0;
constexpr double kDropS = 0.5;
/// A ring grew at the fader where it was certain, so its brink is not higher. Its brink is at most
/// this much lower, or the ring would have been certain before; in a loop of long delay by as much
/// as the fader rises while the ring rises by kHeardRiseDb.
constexpr double kMostOverDb = 1.5;
constexpr double kHeardRiseDb = 20.0;
/// Then the fader goes back by this much, until all is silent, but not longer than this.
constexpr double kBackDb = 12.0;
constexpr double kLongestFadeS = 5.0;
/// The plan brings every place below the brink at a fader this far above the first brink. Most
/// rooms give so much, and then no place must be cut twice. It is also at least this far above the
/// last brink.
constexpr double kExpectedDb = 3.0;
constexpr double kLeastWinDb = 2.0;
/// After a cut the fader starts this far below the last brink, because the new setting may have a
/// lower brink.
constexpr double kUnderDb = 3.0;
/// A setting must net this much more than a flat equaliser, because what is heard is not exact.
constexpr double kWorthwhileDb = 0.3;
/// After this many rounds in a row without more net gain it ends.
constexpr int kIdleRounds = 5;
/// A tone that stays at one level this long was in the limiter before anybody listened, if it is
/// louder than the programme's own tones and than any faint resonance. Its brink cannot be heard.
/// So the fader goes back this far and up again. It does this only a few times, because a held note
/// stays at one level too.
constexpr double kHowlS = 0.75;
constexpr double kHowlOverDb = 3.0;
constexpr double kLeastHowlDbfs = -40.0;
constexpr double kUnderHowlDb = 6.0;
constexpr int kMostHowls = 4;
constexpr double kLearnS = 2.0;

/// A setting that was tried, with the fader at its brink as heard.
struct Tried {
  std::vector<cuts::Move> moves;
  cuts::Setting setting;
  double lost_db = 0.0;
  double brink_db = 0.0;

  [[nodiscard]] double net_db() const { return brink_db - lost_db; }

  /// Another setting must net more than this to replace it.
  [[nodiscard]] double least_better_db() const {
    return moves.empty() ? net_db() + kWorthwhileDb : net_db();
  }
};

class Robot {
 public:
  Robot(const loop::Scene& scene, const RobotConfig& config)
      : config_(config), stage_(scene), places_(stage_.sample_rate_hz()) {}

  RobotRun run() {
    stage_.set_fader_db(config_.start_db);
    stage_.listen(kSettleS);
    learn_programme();
    Tried flat;
    Tried now;
    std::optional<Tried> best;
    int idle_rounds = 0;
    while (true) {
      const auto round = next_round();
      now.brink_db = round ? round->brink_db : config_.highest_db;
      const bool is_first = !best;
      const bool is_better = is_first || now.net_db() > best->least_better_db();
      idle_rounds = is_better ? 0 : idle_rounds + 1;
      if (is_better) {
        best = now;
      }
      if (const auto end = why_end(round.has_value(), idle_rounds)) {
        result_.end = *end;
        break;
      }
      if (is_first) {
        first_brink_db_ = round->brink_db;
        flat = now;
      }
      places_.add(round->places, now.setting);
      const cuts::Plan plan =
          places_.plan(std::max(first_brink_db_ + kExpectedDb, round->brink_db + kLeastWinDb),
                       config_.target,
                       config_.most_moves);
      now = {plan.moves, plan.setting(), plan.lost_db, 0.0};
      (void)stage_.set_equaliser(now.setting);
      result_.rounds.push_back(*round);
      result_.rounds.back().setting = now.setting;
      result_.rounds.back().lost_db = now.lost_db;
      stage_.set_fader_db(round->brink_db - kUnderDb);
    }
    if (!best->moves.empty()) {
      check_again(*best, flat);
    }
    if (!result_.rounds.empty()) {
      read_carefully(*best);
    }
    result_.moves = best->moves;
    result_.end_fader_db = best->brink_db - config_.back_off_db;
    result_.length_s = stage_.now_s();
    tell_truth(best->setting);
    return std::move(result_);
  }

 private:
  /// The best setting owes part of its result to luck. So it is heard once more, and the lower
  /// brink counts. If it then nets too little, the equaliser is set flat.
  void check_again(Tried& best, const Tried& flat) {
    (void)stage_.set_equaliser(best.setting);
    stage_.set_fader_db(std::min(best.brink_db, flat.brink_db) - kUnderDb);
    if (const auto round = next_round()) {
      best.brink_db = std::min(best.brink_db, round->brink_db);
    }
    if (best.net_db() <= flat.least_better_db()) {
      best = flat;
    }
  }

  /// Reads the brink of the setting that is kept once more, at a slower pace. The lowest reading
  /// counts.
  void read_carefully(Tried& kept) {
    (void)stage_.set_equaliser(kept.setting);
    stage_.set_fader_db(kept.brink_db - kUnderDb);
    pace_ = kCareful;
    if (const auto round = next_round()) {
      kept.brink_db = std::min(kept.brink_db, round->brink_db);
    }
  }

  enum class Raise : std::uint8_t { kRings, kHowls, kFaderEnds };

  /// Measures how loud the programme's own tones are, while the fader is far down.
  void learn_programme() {
    const double until_s = stage_.now_s() + kLearnS;
    while (stage_.now_s() < until_s) {
      stage_.step();
      howl_dbfs_ = std::max(howl_dbfs_, stage_.loudest().level_dbfs + kHowlOverDb);
    }
  }

  /// Raises the fader until a ring is certain, until something howls, or to the fader's end.
  Raise raise() {
    stage_.listen_afresh(kSettleS);
    while (stage_.fader_db() < config_.highest_db) {
      stage_.set_fader_db(stage_.fader_db() + pace_.step_db);
      const double until_s = stage_.now_s() + pace_.stand_s;
      while (stage_.now_s() < until_s) {
        stage_.step();
        if (stage_.heard().certain_count() > 0) {
          return Raise::kRings;
        }
        if (stage_.steady_s() > kHowlS && stage_.loudest().level_dbfs > howl_dbfs_) {
          return Raise::kHowls;
        }
      }
    }
    return Raise::kFaderEnds;
  }

  /// Raises the fader until something rings. False when nothing does.
  bool raise_until_ring() {
    for (int howls = 0;; ++howls) {
      const Raise raised = raise();
      if (raised != Raise::kHowls || howls == kMostHowls) {
        return raised != Raise::kFaderEnds;
      }
      const double howled_db = stage_.fader_db();
      stage_.set_fader_db(howled_db - kBackDb);
      stage_.listen(kHowlS);
      stage_.set_fader_db(howled_db - kUnderHowlDb);
    }
  }

  /// One round: raise, listen for more rings, lower, and wait for silence. Nothing when nothing
  /// rang.
  std::optional<RobotRound> next_round() {
    if (!raise_until_ring()) {
      return std::nullopt;
    }
    RobotRound round;
    round.time_s = stage_.now_s();
    const double certain_db = stage_.fader_db();
    round.brink_db = certain_db;
    stage_.listen(kAtOnceS);
    at_once_ = stage_.heard().certain_count();
    push();
    const double high_db = stage_.fader_db();
    const std::vector<RisingRing> high(stage_.heard().rings().begin(),
                                       stage_.heard().rings().end());
    stage_.set_fader_db(high_db - kDropDb);
    stage_.listen(kDropS);
    round.places = gauge_.read(high, high_db, stage_.heard().rings(), high_db - kDropDb);
    for (RangPlace& place : round.places) {
      const double most_over_db =
          std::max(kMostOverDb, std::sqrt(2.0 * kHeardRiseDb * place.delay_s * pace_.db_per_s()));
      place.brink_db = std::max(place.brink_db, certain_db - most_over_db);
      if (place.is_certain) {
        round.brink_db = std::min(round.brink_db, place.brink_db);
      }
    }
    fall_silent();
    return round;
  }

  void push() {
    stage_.set_fader_db(stage_.fader_db() + kPushDb);
    const double least_s = stage_.now_s() + kLeastPushS;
    const double until_s = stage_.now_s() + kPushS;
    const auto goes_on = [&] {
      const bool has_enough = stage_.heard().certain_count() >= kEnoughRings;
      return stage_.now_s() < until_s && stage_.heard().loudest_dbfs() < kLoudDbfs &&
             (stage_.now_s() < least_s || !has_enough);
    };
    while (goes_on()) {
      stage_.step();
    }
  }

  void fall_silent() {
    stage_.set_fader_db(stage_.fader_db() + kDropDb - kBackDb);
    const double until_s = stage_.now_s() + kLongestFadeS;
    while (stage_.heard().is_any_left() && stage_.now_s() < until_s) {
      stage_.step();
    }
  }

  [[nodiscard]] std::optional<RobotEnd> why_end(bool rang, int idle_rounds) const {
    if (!rang) {
      return RobotEnd::kNoRing;
    }
    if (static_cast<int>(result_.rounds.size()) >= config_.most_rounds) {
      return RobotEnd::kRounds;
    }
    if (at_once_ > config_.most_at_once) {
      return RobotEnd::kManyAtOnce;
    }
    if (idle_rounds >= kIdleRounds) {
      return RobotEnd::kNothingWon;
    }
    return std::nullopt;
  }

  void tell_truth(const cuts::Setting& setting) {
    const double rate_hz = stage_.sample_rate_hz();
    const auto taps = loop::loop_taps(stage_.config(), 0.0);
    const double flat_db = loop::max_stable_gain_db({taps, {}, rate_hz});
    const double set_db =
        loop::max_stable_gain_db({taps, cuts::to_sections(setting, rate_hz), rate_hz});
    result_.won_db = set_db - flat_db;
    result_.lost_db = cuts::mean_level_lost_db(setting, rate_hz);
    result_.spare_db = set_db - result_.end_fader_db;
  }

  RobotConfig config_;
  ListenedStage stage_;
  Pace pace_ = kSearching;
  BrinkGauge gauge_;
  KnownPlaces places_;
  double howl_dbfs_ = kLeastHowlDbfs;
  double first_brink_db_ = 0.0;
  int at_once_ = 0;  // number of rings that were certain together in the last round
  RobotRun result_;
};

}  // namespace

const char* to_word(RobotEnd end) noexcept {
  switch (end) {
    case RobotEnd::kRounds:
      return "rounds";
    case RobotEnd::kManyAtOnce:
      return "many-at-once";
    case RobotEnd::kNothingWon:
      return "nothing-won";
    case RobotEnd::kNoRing:
      break;
  }
  return "no-ring";
}

RobotRun run_robot(const loop::Scene& scene, const RobotConfig& config) {
  if (!scene.max_stable_gain_db) {
    throw base::Error{"there is no loop to ring out: the microphone hears nothing of the wedge."};
  }
  loop::require(config.back_off_db, 0.0, 30.0, "back-off", "dB");
  loop::require(config.most_moves, 1, 32, "number of cuts", "");
  loop::require(config.most_rounds, 1, 50, "number of rounds", "");
  return Robot(scene, config).run();
}

}  // namespace brink::robot
