#pragma once

#include <cstdint>
#include <string>

namespace brink::show {

/// One locked guess of a trainee, as the book keeps it.
struct GuessRecord {
  std::string key;  ///< unique for ever and everywhere: 32 hexadecimal digits
  std::string trainee;
  std::string guessed_at;  ///< time of day, ISO 8601 with the offset from UTC
  std::string exercise;    ///< the exercise's word, or "live"
  std::uint64_t seed = 0;  ///< of the session; 0 when live
  double true_hz = 0.0;
  double guessed_hz = 0.0;
  double took_s = 0.0;   ///< from the first sound to the lock
  int level = 0;         ///< difficulty
  double left_db = 0.0;  ///< depth of the guessed cut at the true frequency, negative

  friend bool operator==(const GuessRecord&, const GuessRecord&) = default;
};

}  // namespace brink::show
