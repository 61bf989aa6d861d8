#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "io/source.h"
#include "show/session_event.h"

namespace brink::listen {

/// Tells what becomes of the input: whether it is there, which taps give exact zeros, and what a
/// device reported as lost without saying how much. Each is told once. [analysis]
class InputTeller {
 public:
  explicit InputTeller(std::vector<int> taps);

  /// An event when the input goes or comes back. After it went, no tap is silent.
  [[nodiscard]] std::optional<show::SessionEvent> take_health(io::InputHealth health);

  /// `count` new reports of losses. An event at once, and then at most one a second.
  [[nodiscard]] std::optional<show::SessionEvent> take_gaps(std::int64_t count, double stream_s);

  /// Whether a tap gives exact zeros now, by its place in the list. An event when that changes.
  [[nodiscard]] std::optional<show::SessionEvent> take_silence(std::size_t tap, bool is_silent);

  [[nodiscard]] io::InputHealth health() const noexcept { return health_; }

  /// All reports of losses so far.
  [[nodiscard]] std::int64_t gap_reports() const noexcept { return gap_reports_; }

  /// Each tap was told to give exact zeros.
  [[nodiscard]] bool is_all_silent() const noexcept;

 private:
  static constexpr double kReportPauseS = 1.0;  // between two words about unknown losses

  std::vector<int> taps_;
  std::vector<bool> is_silent_;  // was told
  io::InputHealth health_ = io::InputHealth::kRunning;
  std::int64_t gap_reports_ = 0;
  std::int64_t unsaid_reports_ = 0;
  double last_report_s_ = -kReportPauseS;
};

}  // namespace brink::listen
