#include "report/event_osc.h"

#include <algorithm>
#include <limits>

#include "base/units.h"
#include "report/ring_row.h"

namespace brink::report {
namespace {

float to_float(double value) {
  return static_cast<float>(value);
}

std::int32_t to_int(std::int64_t value) {
  constexpr std::int64_t kMost = std::numeric_limits<std::int32_t>::max();
  return static_cast<std::int32_t>(std::min(value, kMost));
}

}  // namespace

EventMessage event_osc(const show::SessionEvent& event, const show::ChannelNames& names) {
  EventMessage message{std::string("/brink/") + to_word(event.kind), {}};
  auto& values = message.values;
  values.emplace_back(event.tap);
  values.emplace_back(to_float(event.stream_s));
  if (event.kind == show::EventKind::kInputLost) {
    values.emplace_back(std::string(to_word(event.reason)));
  } else if (event.kind == show::EventKind::kSamplesLost) {
    values.emplace_back(to_int(event.lost_samples));
  } else if (show::is_of_ring(event.kind)) {
    const detector::Ring& ring = event.ring;
    // The same numbers as in the text; a cut of 0 dB is none.
    const CutRow cut = event.cut ? to_row(*event.cut) : CutRow{};
    values.emplace_back(static_cast<std::int32_t>(ring.id));
    for (const double value : {ring.frequency_hz,
                               ring.growth_db_per_s,
                               ring.level_dbfs,
                               ring.confidence,
                               cut.centre_hz,
                               cut.q,
                               cut.depth_db}) {
      values.emplace_back(to_float(value));
    }
    values.emplace_back(base::note_name(ring.frequency_hz));
    values.emplace_back(event.shares.count > 0 ? event.shares.parts.front().share : 0.0F);
    values.emplace_back(show::where_words(event.tap, event.shares, names));
  }
  return message;
}

}  // namespace brink::report
