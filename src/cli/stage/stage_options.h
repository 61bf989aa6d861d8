#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "loop/matrix/matrix_scene.h"
#include "loop/scene.h"

namespace CLI {  // NOLINT(readability-identifier-naming): theirs
class App;
}

namespace brink::cli {

/// A stage as the command line describes it; the words are checked in to_scene().
struct StageWords {
  std::string room_size = "14x9x4";
  double t60_s = 0.8;
  double t60_low_ratio = 1.2;
  double t60_high_ratio = 0.6;
  std::string room_file;
  std::string pattern = "cardioid";
  double distance_m = 1.5;
  double angle_deg = 120.0;
  std::string loudspeaker_band = "70-10000";
  std::string microphone_band = "60-16000";
  double console_delay_ms = 1.5;
  double limit_dbfs = -6.0;
  std::string tap;  ///< empty: microphone, or channel with several microphones
  int microphones = 1;
  int outputs = 1;
  std::vector<std::string> faders;
  std::vector<std::string> sends;
  std::vector<int> inverted;
  std::vector<std::string> channel_cuts;
  std::string programme = "voice";
  double level_dbfs = -28.0;
  double noise_floor_dbfs = -78.0;
  std::string gain_db = "-8:2";
  std::string ramp_s = "1:8";
  int steps = 0;
  double swing_s = -1.0;
  double swing_back_s = -1.0;
  double swing_distance_m = 0.5;
  double swing_over_db = 2.5;
  std::string walk_s;
  double walk_m = 0.03;
  std::vector<std::string> cuts;
  double cut_at_s = 0.0;
  bool is_open = false;
  double length_s = 12.0;
  double sample_rate_hz = 0.0;  ///< 0: the given files', or 48 kHz
  std::uint64_t seed = 1;
};

/// Adds the options that describe a stage.
void add_stage_options(CLI::App& command, StageWords& words);

/// The part of them that is about several microphones and outputs.
void add_matrix_options(CLI::App& command, StageWords& words);

/// Whether it has several microphones or outputs.
[[nodiscard]] bool is_matrix(const StageWords& words) noexcept;

/// As to_scene(), for a stage of several.
[[nodiscard]] loop::MatrixSceneOptions to_matrix_scene(const StageWords& words);

/// For one microphone and one output. Reads the files named and checks every word. Throws
/// base::Error with the option named.
[[nodiscard]] loop::SceneOptions to_scene(const StageWords& words);

}  // namespace brink::cli
