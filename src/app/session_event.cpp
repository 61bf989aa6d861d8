#include "app/session_event.h"

#include <fmt/format.h>

#include <array>
#include <cstdlib>
#include <ctime>

#include "app/report_row.h"
#include "app/row_json.h"

namespace brink::app {

const char* to_word(EventKind kind) noexcept {
  constexpr std::array kWords{
      "building", "ringing", "fading", "gone", "input-lost", "input-back", "samples-lost"};
  return kWords[static_cast<std::size_t>(kind)];
}

bool is_of_ring(EventKind kind) noexcept {
  return kind <= EventKind::kGone;
}

const char* to_word(LossReason reason) noexcept {
  constexpr std::array kWords{"vanished", "frozen", "zeros"};
  return kWords[static_cast<std::size_t>(reason)];
}

std::string wall_text(std::chrono::system_clock::time_point wall) {
  using std::chrono::milliseconds;
  const auto since_epoch = std::chrono::floor<milliseconds>(wall.time_since_epoch());
  const auto seconds = std::chrono::floor<std::chrono::seconds>(since_epoch);
  const auto time = static_cast<std::time_t>(seconds.count());
  std::tm local{};
  localtime_r(&time, &local);
  const long offset_min = local.tm_gmtoff / 60;
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}{}{:02}:{:02}",
                     local.tm_year + 1900,
                     local.tm_mon + 1,
                     local.tm_mday,
                     local.tm_hour,
                     local.tm_min,
                     local.tm_sec,
                     (since_epoch - seconds).count(),
                     offset_min < 0 ? '-' : '+',
                     std::abs(offset_min) / 60,
                     std::abs(offset_min) % 60);
}

std::string event_json(const SessionEvent& event) {
  Json json{{"schema", "brink/event/1"},
            {"event", to_word(event.kind)},
            {"stream_s", round_to_decimals(event.stream_s, 4)},
            {"wall", wall_text(event.wall)}};
  if (event.tap != SessionEvent::kAllTaps) {
    json["tap"] = event.tap;
  }
  if (is_of_ring(event.kind)) {
    FoundRing found{event.tap, event.ring, event.cut.value_or(cuts::Cut{})};
    json["ring"] = Json{{"id", event.ring.id}};
    json["ring"].update(to_json(to_row(found, event.sample_rate_hz), false));
  } else if (event.kind == EventKind::kInputLost) {
    json["reason"] = to_word(event.reason);
  } else if (event.kind == EventKind::kSamplesLost) {
    json["samples"] = event.lost_samples == SessionEvent::kUnknownCount ? Json(nullptr)
                                                                        : Json(event.lost_samples);
  }
  return to_line(json);
}

}  // namespace brink::app
