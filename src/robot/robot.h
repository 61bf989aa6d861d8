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
  int most_moves = 8;        ///< 1 to 32: number of cuts and high-pass together
  int most_rounds = 7;       ///< 1 to 50; five to seven are common practice
  int most_at_once = 3;      ///< if more rings than this come at once, it ends
  double start_db = -12.0;   ///< fader at the start; the robot does not know the brink
  double highest_db = 24.0;  ///< end of the fader
  double back_off_db = 6.0;  ///< 0 to 30: final distance from the brink
};

/// Why ringing out ended.
enum class RobotEnd : std::uint8_t {
  kRounds,      ///< all rounds are made
  kManyAtOnce,  ///< more rings at once than cuts can help with
  kNothingWon,  ///< the last rounds cost as much sound as they won gain
  kNoRing,      ///< the fader reached its end without a ring
};

/// "rounds", "many-at-once", "nothing-won", "no-ring".
[[nodiscard]] const char* to_word(RobotEnd end) noexcept;

/// One round: a ring, and the setting against it.
struct RobotRound {
  double time_s = 0.0;            ///< when the first ring was certain
  double brink_db = 0.0;          ///< fader at the brink of the first ring, as heard
  std::vector<RangPlace> places;  ///< what rang; the place with the lowest brink first
  cuts::Setting setting;          ///< the setting from here on
  double lost_db = 0.0;           ///< mean level lost by the setting
};

/// The result of ringing out a stage.
struct RobotRun {
  std::vector<RobotRound> rounds;
  RobotEnd end = RobotEnd::kNoRing;
  std::vector<cuts::Move> moves;  ///< the final moves; buys_db and costs_db are the plan's
  double end_fader_db = 0.0;      ///< the brink as heard, minus the back-off
  double length_s = 0.0;          ///< length of the sound that was needed
  // The truth about the loop, which the robot never gets:
  double won_db = 0.0;    ///< maximum stable gain with the moves minus the gain without
  double lost_db = 0.0;   ///< mean level over the third-octaves 125 Hz to 8 kHz
  double spare_db = 0.0;  ///< distance from end_fader_db to the true brink

  [[nodiscard]] double net_db() const noexcept { return won_db - lost_db; }
};

/// Rings out a stage as a careful engineer would. It raises the fader by small steps and listens
/// only with the detector. When a ring is certain it takes the fader back. The planner then chooses
/// all cuts again for everything that has rung so far. Then the fader goes up again. Of all
/// settings tried, the one with the most gain for its loss is kept. The scene's own gain plan,
/// equaliser and microphone movement are not used. No sound is played. The same scene and config
/// give the same result. Throws base::Error when the config is out of range or the scene's loop is
/// open.
[[nodiscard]] RobotRun run_robot(const loop::Scene& scene, const RobotConfig& config);

}  // namespace brink::robot
