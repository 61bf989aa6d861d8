#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ear/exercise.h"

namespace brink::cli {

struct EarOptions {
  std::string trainee = "trainee";
  std::optional<std::uint64_t> seed;  ///< nothing: a new one each time
  std::vector<std::string> exercises{"pure"};
  bool by_note = false;
  int count = 10;
  std::optional<int> difficulty;
  std::string target = "third-octave";
  double level_db = -20.0;
  std::string silent;  ///< directory for the rendered files; empty: play
  std::string format = "text";
  std::string book;          ///< empty: where it always is
  bool is_bookless = false;  ///< keeps nothing and knows no past
};

/// A session in the terminal: results on stdout, everything else on stderr. Returns an ExitStatus;
/// base::Error may leave it.
[[nodiscard]] int run_ear(const EarOptions& options);

}  // namespace brink::cli
