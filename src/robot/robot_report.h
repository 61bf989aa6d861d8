#pragma once

#include <string>

#include "robot/robot.h"

namespace brink::robot {

/// What the robot did and what it won, for people.
[[nodiscard]] std::string robot_text(const RobotRun& run, const RobotConfig& config);

/// {"schema":"brink/stage-ring-out/1",...} on one line; docs/stage.md describes the fields.
[[nodiscard]] std::string robot_json(const RobotRun& run, const RobotConfig& config);

}  // namespace brink::robot
