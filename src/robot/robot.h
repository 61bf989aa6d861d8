#pragma once

#include <cstdint>
#include <vector>

#include "cuts/planner.h"
#include "loop/scene.h"
#include "robot/known_places.h"

namespace brink::robot {

/// How to ring out a simulated stage.
struct RobotConfig {
  cuts::Target target;
  int most_moves = 8;        ///< 1 to 32: cuts and high-pass together
  int most_rounds = 7;       ///< 1 to 50; five to seven are common practice
  int most_at_once = 3;      ///< more rings than this at once end it
  double start_db = -12.0;   ///< of the fader, at the start; where the brink lies is not told
  double highest_db = 24.0;  ///< the fader's end
  double back_off_db = 6.0;  ///< 0 to 30: left under the brink at the end
};

/// Why ringing out ended.
enum class RobotEnd : std::uint8_t {
  kRounds,      ///< all rounds are made
  kManyAtOnce,  ///< more rang at once than cuts can mend
  kNothingWon,  ///< the last rounds cost as much sound as they won gain
  kNoRing,      ///< the fader's end came first
};

/// "rounds", "many-at-once", "nothing-won", "no-ring".
[[nodiscard]] const char* to_word(RobotEnd end) noexcept;

/// One turn: it rang, and this was set against it.
struct RobotRound {
  double time_s = 0.0;            ///< when the first of its rings was certain
  double brink_db = 0.0;          ///< of the fader, for the first of them, as heard
  std::vector<RangPlace> places;  ///< what rang, the one that rings first in front
  cuts::Setting setting;          ///< from now on
  double lost_db = 0.0;           ///< mean level lost by the setting
};

struct RobotRun {
  std::vector<RobotRound> rounds;
  RobotEnd end = RobotEnd::kNoRing;
  std::vector<cuts::Move> moves;  ///< what is set at the end; buys_db and costs_db as planned
  double end_fader_db = 0.0;      ///< the back-off under the brink as heard
  double length_s = 0.0;          ///< of the sound that it took
  // By the loop's own truth, which the robot is never told:
  double won_db = 0.0;    ///< maximum stable gain with the moves, less that without
  double lost_db = 0.0;   ///< mean level over the third-octaves 125 Hz to 8 kHz
  double spare_db = 0.0;  ///< how far end_fader_db stands under the brink

  [[nodiscard]] double net_db() const noexcept { return won_db - lost_db; }
};

/// Rings out a stage as a careful engineer would: raises the fader by small steps, listens with the
/// detector alone, takes the fader back when a ring is certain, lets the planner choose all cuts
/// anew for all that has rung so far, and raises again. Of the settings tried, the one with the
/// most gain for its loss stays. The scene's own gain plan, equaliser and moves of the microphone
/// are left out. Nothing is played. The same scene and config give the same result. Throws
/// base::Error on a config out of range, and on a scene whose loop is open.
[[nodiscard]] RobotRun run_robot(const loop::Scene& scene, const RobotConfig& config);

}  // namespace brink::robot
