#include "report/event_json.h"

#include "base/time_of_day.h"
#include "base/units.h"
#include "report/ring_row.h"
#include "report/row_json.h"

namespace brink::report {
namespace {

Json level_json(double level_dbfs) {
  return level_dbfs > base::kSilenceDb ? Json(round_to_decimals(level_dbfs, 1)) : Json(nullptr);
}

void add_sound(Json& json, const std::optional<show::SoundLevels>& sound) {
  if (sound) {
    json["laeq_1s_db"] = level_json(sound->one_second_db);
    json["laeq_db"] = level_json(sound->since_start_db);
    json["laeq_15min_db"] = level_json(sound->fifteen_minutes_db);
  }
}

const char* to_word(listen::ForecastState state) {
  switch (state) {
    case listen::ForecastState::kWaiting:
      return "waiting";
    case listen::ForecastState::kTold:
      return "told";
    case listen::ForecastState::kTonal:
      return "tonal";
    case listen::ForecastState::kUnclear:
      break;
  }
  return "unclear";
}

}  // namespace

std::string event_json(const show::SessionEvent& event, const show::ChannelNames& names) {
  Json json{{"schema", "brink/event/1"},
            {"event", to_word(event.kind)},
            {"stream_s", round_to_decimals(event.stream_s, 4)},
            {"wall", base::wall_text(event.wall)}};
  if (event.tap != show::SessionEvent::kAllTaps) {
    json["tap"] = event.tap;
  }
  if (show::is_of_ring(event.kind)) {
    listen::FoundRing found{event.tap, event.ring, event.cut.value_or(cuts::Cut{}), event.shares};
    json["ring"] = Json{{"id", event.ring.id}};
    json["ring"].update(to_json(to_row(found, event.sample_rate_hz, names), false));
    add_sound(json, event.sound);
  } else if (event.kind == show::EventKind::kInputLost) {
    json["reason"] = to_word(event.reason);
  } else if (event.kind == show::EventKind::kSamplesLost) {
    json["samples"] = event.lost_samples == show::SessionEvent::kUnknownCount
                          ? Json(nullptr)
                          : Json(event.lost_samples);
  }
  return to_line(json);
}

std::string levels_json(const listen::Snapshot& snapshot,
                        double sample_rate_hz,
                        std::chrono::system_clock::time_point wall) {
  const double stream_s = static_cast<double>(snapshot.samples) / sample_rate_hz;
  Json json{{"schema", "brink/event/1"},
            {"event", "levels"},
            {"stream_s", round_to_decimals(stream_s, 4)},
            {"wall", base::wall_text(wall)}};
  for (const listen::TapSnapshot& tap : snapshot.taps) {
    Json level{{"tap", tap.tap},
               {"peak_dbfs", level_json(tap.level.peak_dbfs)},
               {"rms_dbfs", level_json(tap.level.rms_dbfs)},
               {"clips", tap.level.is_clipping}};
    if (tap.copy_of != 0) {
      level["copy_of"] = tap.copy_of;
    }
    add_sound(level, tap.sound);
    json["levels"].push_back(std::move(level));
  }
  return to_line(json);
}

std::string forecast_json(const listen::TapSnapshot& tap,
                          double stream_s,
                          std::chrono::system_clock::time_point wall) {
  Json json{{"schema", "brink/event/1"},
            {"event", "forecast"},
            {"stream_s", round_to_decimals(stream_s, 4)},
            {"wall", base::wall_text(wall)},
            {"tap", tap.tap},
            {"state", to_word(tap.forecast.state)},
            {"heard_s", round_to_decimals(tap.forecast.heard_s, 1)},
            {"places", Json::array()}};
  if (const auto& feed = tap.forecast.feed) {
    json["feed"] = {{"tap", feed->tap},
                    {"other_db", round_to_decimals(feed->other_db, 1)},
                    {"coherence", round_to_decimals(feed->coherence, 3)},
                    {"condition_db", round_to_decimals(feed->condition_db, 0)},
                    {"covered", round_to_decimals(feed->covered, 2)}};
  }
  for (const listen::ForeseenPlace& place : tap.forecast.places) {
    json["places"].push_back({{"frequency_hz", round_to_decimals(place.frequency_hz, 1)},
                              {"frequency_sd_hz", round_to_decimals(place.frequency_sd_hz, 1)},
                              {"left_db", round_to_decimals(place.left_db, 1)},
                              {"left_sd_db", round_to_decimals(place.left_sd_db, 1)},
                              {"decay_db_per_s", round_to_decimals(place.decay_db_per_s, 1)}});
  }
  return to_line(json);
}

}  // namespace brink::report
