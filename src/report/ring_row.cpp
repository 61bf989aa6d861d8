#include "report/ring_row.h"

#include <cmath>

#include "base/units.h"
#include "show/merge_rings.h"

namespace brink::report {

double round_to_decimals(double value, int decimals) noexcept {
  const double scale = std::pow(10.0, decimals);
  const double rounded = std::round(value * scale) / scale;
  return rounded == 0.0 ? 0.0 : rounded;  // never "-0"
}

CutRow to_row(const cuts::Cut& cut) {
  return {round_to_decimals(cut.centre_hz, 1),
          round_to_decimals(cut.q, 2),
          round_to_decimals(cut.depth_db, 1)};
}

RingRow to_row(const listen::FoundRing& found,
               double sample_rate_hz,
               const show::ChannelNames& names) {
  const auto to_s = [&](std::int64_t sample) -> std::optional<double> {
    const double exact_s = static_cast<double>(sample) / sample_rate_hz;
    return sample == detector::kNever ? std::nullopt : std::optional(round_to_decimals(exact_s, 4));
  };
  const detector::Ring& ring = found.ring;
  RingRow row;
  row.channel = found.channel;
  row.state = detector::to_word(ring.state);
  row.frequency_hz = round_to_decimals(ring.frequency_hz, 3);
  row.frequency_sd_hz = round_to_decimals(ring.frequency_sd_hz, 3);
  row.frequency_low_hz = round_to_decimals(ring.frequency_low_hz, 3);
  row.frequency_high_hz = round_to_decimals(ring.frequency_high_hz, 3);
  row.place = ring.place;
  row.onset_s = to_s(ring.onset_sample).value_or(0.0);
  row.flagged_s = to_s(ring.flagged_sample);
  row.ended_s = to_s(ring.ended_sample);
  row.growth_db_per_s = round_to_decimals(ring.growth_db_per_s, 2);
  row.peak_dbfs = round_to_decimals(ring.peak_dbfs, 1);
  row.confidence = round_to_decimals(ring.confidence, 3);
  row.note = base::note_name(ring.frequency_hz);
  if (show::was_certain(ring) && ring.state != detector::RingState::kWithdrawn) {
    row.cut = to_row(found.cut);
  }
  for (const taps::TapPart& part : found.shares.all()) {
    row.shares.push_back({part.channel,
                          names.name(part.channel),
                          round_to_decimals(static_cast<double>(part.share), 3),
                          round_to_decimals(static_cast<double>(part.level_dbfs), 1)});
  }
  if (found.shares.count > 0) {
    row.where = show::where_words(found.channel, found.shares, names);
    row.first = show::first_move_words(found.shares, names);
  }
  if (found.shares.knows_sends) {
    row.output = found.shares.output;
    row.output_share = round_to_decimals(static_cast<double>(found.shares.output_share), 3);
  }
  return row;
}

}  // namespace brink::report
