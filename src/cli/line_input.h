#pragma once

#include <optional>
#include <string>

#include "io/files.h"
#include "io/waiting.h"

namespace brink::cli {

/// Lines from stdin, waited for in short turns, so that a signal or a sound can be looked after.
/// [main thread]
class LineInput {
 public:
  enum class Outcome { kLine, kNothingYet, kEnd };

  /// Waits up to `patience_ms` for a line without its end; the last one may lack it.
  [[nodiscard]] Outcome next(std::string& line, int patience_ms);

  /// How many lines were handed out.
  [[nodiscard]] int count() const noexcept { return count_; }

 private:
  static constexpr std::size_t kLongestBytes = 4096;  ///< the rest of a longer line is dropped

  [[nodiscard]] bool take(std::string& line);

  io::WaitedInput input_{io::kStdin};
  std::string unread_;
  bool is_at_end_ = false;
  int count_ = 0;
};

}  // namespace brink::cli
