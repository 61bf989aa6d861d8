#include "listen/input_teller.h"

#include <algorithm>
#include <utility>

namespace brink::listen {
namespace {

show::LossReason to_reason(io::InputHealth health) noexcept {
  return health == io::InputHealth::kFrozen ? show::LossReason::kFrozen
                                            : show::LossReason::kVanished;
}

show::SessionEvent of_input(bool is_lost, show::LossReason reason) {
  show::SessionEvent event;
  event.kind = is_lost ? show::EventKind::kInputLost : show::EventKind::kInputBack;
  event.reason = reason;
  return event;
}

}  // namespace

InputTeller::InputTeller(std::vector<int> taps)
    : taps_(std::move(taps)), is_silent_(taps_.size(), false) {}

std::optional<show::SessionEvent> InputTeller::take_health(io::InputHealth health) {
  const bool was_running = std::exchange(health_, health) == io::InputHealth::kRunning;
  const bool is_running = health == io::InputHealth::kRunning;
  if (was_running == is_running) {
    return std::nullopt;
  }
  if (!is_running) {
    is_silent_.assign(is_silent_.size(), false);
  }
  return of_input(!is_running, to_reason(health));
}

std::optional<show::SessionEvent> InputTeller::take_gaps(std::int64_t count, double stream_s) {
  gap_reports_ += count;
  unsaid_reports_ += count;
  if (unsaid_reports_ == 0 || stream_s - last_report_s_ < kReportPauseS) {
    return std::nullopt;
  }
  unsaid_reports_ = 0;
  last_report_s_ = stream_s;
  show::SessionEvent event;
  event.kind = show::EventKind::kSamplesLost;
  event.lost_samples = show::SessionEvent::kUnknownCount;
  return event;
}

std::optional<show::SessionEvent> InputTeller::take_silence(std::size_t tap, bool is_silent) {
  if (is_silent_[tap] == is_silent) {
    return std::nullopt;
  }
  is_silent_[tap] = is_silent;
  show::SessionEvent event = of_input(is_silent, show::LossReason::kZeros);
  event.tap = taps_[tap];
  return event;
}

bool InputTeller::is_all_silent() const noexcept {
  return std::all_of(is_silent_.begin(), is_silent_.end(), [](bool is_one) { return is_one; });
}

}  // namespace brink::listen
