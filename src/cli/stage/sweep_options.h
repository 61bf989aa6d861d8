#pragma once

#include <CLI/CLI.hpp>
#include <string>

#include "cli/sound_choice.h"
#include "cli/stage/stage_options.h"
#include "cli/stage/sweep_book.h"
#include "desk/sweep/live_sweep_way.h"

namespace brink::cli {

/// What `brink sweep` was asked for.
struct SweepOptions {
  std::string impulse;
  bool is_from_stage = false;
  desk::LiveSweepOptions live;
  double level_dbfs = desk::kFirstSweepDbfs;
  double ceiling_dbfs = desk::kSweepCeilingDbfs;
  double console_delay_ms = 0.0;
  double console_gain_db = 0.0;
  double distance_m = 0.0;
  StageWords stage;
  std::string target = "parametric";
  std::string sound = kDefaultSound;
  std::string format = "text";
  std::string response;
  bool replaces = false;
  SweepPlace kept;
  CLI::App* parsed = nullptr;  ///< what was read from the command line

  /// Whether the user gave `option`.
  [[nodiscard]] bool has(const char* option) const { return parsed->count(option) > 0; }
};

/// Adds the options and the examples of `brink sweep`.
void add_sweep_options(CLI::App& command, SweepOptions& options);

}  // namespace brink::cli
