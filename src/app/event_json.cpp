#include "app/event_json.h"

#include "app/report_row.h"
#include "app/row_json.h"
#include "app/time_of_day.h"

namespace brink::app {

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
