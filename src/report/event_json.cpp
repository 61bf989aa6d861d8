#include "report/event_json.h"

#include "base/time_of_day.h"
#include "report/ring_row.h"
#include "report/row_json.h"

namespace brink::report {

std::string event_json(const show::SessionEvent& event) {
  Json json{{"schema", "brink/event/1"},
            {"event", to_word(event.kind)},
            {"stream_s", round_to_decimals(event.stream_s, 4)},
            {"wall", base::wall_text(event.wall)}};
  if (event.tap != show::SessionEvent::kAllTaps) {
    json["tap"] = event.tap;
  }
  if (show::is_of_ring(event.kind)) {
    listen::FoundRing found{event.tap, event.ring, event.cut.value_or(cuts::Cut{})};
    json["ring"] = Json{{"id", event.ring.id}};
    json["ring"].update(to_json(to_row(found, event.sample_rate_hz), false));
  } else if (event.kind == show::EventKind::kInputLost) {
    json["reason"] = to_word(event.reason);
  } else if (event.kind == show::EventKind::kSamplesLost) {
    json["samples"] = event.lost_samples == show::SessionEvent::kUnknownCount
                          ? Json(nullptr)
                          : Json(event.lost_samples);
  }
  return to_line(json);
}

}  // namespace brink::report
