#pragma once

#include <string>

#include "cli/listen/listen_page.h"

namespace brink::cli {

/// What the user asked `brink listen` for.
struct ListenOptions {
  std::string input;
  int channels = 0;
  std::string taps;
  double rate_hz = 0.0;
  bool is_stdin = false;
  std::string sample_format;
  std::string record;
  std::string osc;
  std::string names;
  PageOptions page;
  double sure = 0.0;
  double levels_hz = 0.0;  // 0: no levels
  bool foresees = false;
  bool fails_on_ring = false;
  bool is_quiet = false;
};

}  // namespace brink::cli
