#include "report/page/page_state.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/printable.h"
#include "base/units.h"
#include "report/row_json.h"
#include "show/ring_words.h"

namespace brink::report {
namespace {

constexpr std::size_t kMostLevels = 8;  // more do not fit on a telephone

Json levels_json(const PageView& view) {
  Json levels = Json::array();
  for (const listen::TapSnapshot& tap : view.snapshot->taps) {
    if (levels.size() == kMostLevels) {
      break;
    }
    const bool is_heard = view.snapshot->health == io::InputHealth::kRunning &&
                          tap.level.peak_dbfs > base::kSilenceDb;
    levels.push_back(
        {{"tap", tap.tap},
         {"name", view.names == nullptr ? "" : base::printable(view.names->name(tap.tap))},
         {"peak_dbfs", is_heard ? Json(round_to_decimals(tap.level.peak_dbfs, 0)) : Json(nullptr)},
         {"clips", is_heard && tap.level.is_clipping}});
  }
  return levels;
}

Json ring_json(const PageRing& one, const PageView& view) {
  const show::RingWords words = show::ring_words(one.ring);
  const bool hides = view.hides_answers;
  const double frequency_hz = one.ring.frequency_hz;
  return {{"state", detector::to_word(words.state)},
          {"frequency", hides ? "? Hz" : base::frequency_label(frequency_hz)},
          {"note", hides ? "" : base::note_name(frequency_hz)},
          {"growth", words.growth},
          {"level",
           detector::is_over(words.state) ? "" : fmt::format("{:.0f} dBFS", one.ring.level_dbfs)},
          {"cut", hides ? "" : one.cut},
          {"bands", hides ? std::vector<std::string>() : one.bands},
          {"where",
           view.snapshot->taps.size() > 1 ? fmt::format("channel {}", one.tap) : std::string()}};
}

/// The one thing to do first.
std::string down_words(const PageView& view) {
  const auto urgent = std::find_if(view.rings.begin(), view.rings.end(), [](const PageRing& one) {
    return show::ring_words(one.ring).is_urgent;
  });
  if (urgent == view.rings.end()) {
    return "";
  }
  return view.hides_answers ? "Down now"
                            : "Down now: " + base::frequency_label(urgent->ring.frequency_hz);
}

/// Tracks of all taps together, those of rings first and then the loudest, as many as fit.
Json map_json(const PageView& view) {
  Json points = Json::array();
  if (view.hides_answers || is_deaf(*view.snapshot)) {
    return points;
  }
  const auto& taps = view.snapshot->taps;
  std::vector<detector::TrackView> tracks =
      taps.size() > 1 ? view.snapshot->together.tracks : taps.front().tracks;
  // A growth of exactly 0 means that the track is too young to have one.
  std::erase_if(tracks, [](const detector::TrackView& track) {
    return track.ring_id == 0 && track.growth_db_per_s == 0.0;
  });
  std::stable_sort(tracks.begin(), tracks.end(), [](const auto& a, const auto& b) {
    const bool is_ring = a.ring_id != 0;
    return is_ring != (b.ring_id != 0) ? is_ring : a.level_dbfs > b.level_dbfs;
  });
  tracks.resize(std::min(tracks.size(), kMostPoints));
  for (const detector::TrackView& track : tracks) {
    points.push_back(Json::array({track.track_id,
                                  round_to_decimals(track.frequency_hz, 0),
                                  round_to_decimals(track.growth_db_per_s, 1),
                                  track.ring_id != 0 ? detector::to_word(track.state) : ""}));
  }
  return points;
}

Json round_json(const PageRound& round, bool hides) {
  Json rows = Json::array();
  for (const PageRound::Row& row : round.rounds) {
    rows.push_back({{"cut", hides ? "hidden" : row.cut}, {"check", row.check}});
  }
  return {{"output", base::printable(round.output)},
          {"heading", round.heading},
          {"instruction", round.instruction},
          {"facts", round.facts},
          {"rounds", std::move(rows)}};
}

}  // namespace

bool is_deaf(const listen::Snapshot& snapshot) {
  return snapshot.health != io::InputHealth::kRunning ||
         std::all_of(snapshot.taps.begin(), snapshot.taps.end(), [](const auto& tap) {
           return tap.level.is_silent;
         });
}

std::string page_state_json(const PageView& view) {
  const bool is_heard = !is_deaf(*view.snapshot);
  Json json{{"schema", "brink/page/1"},
            {"source", base::printable(view.source)},
            {"trouble", base::printable(view.trouble)},
            {"down", down_words(view)},
            {"quiet", is_heard ? "Nothing rings" : "brink hears nothing"},
            {"levels", levels_json(view)},
            {"rings", Json::array()},
            {"round", view.round ? round_json(*view.round, view.hides_answers) : Json(nullptr)},
            {"keys", Json::array()},
            {"answer", base::printable(view.answer)},
            {"map", map_json(view)}};
  for (const PageRing& one : view.rings) {
    json["rings"].push_back(ring_json(one, view));
  }
  for (const PageKey& key : view.keys) {
    json["keys"].push_back({{"name", key.name},
                            {"word", key.word},
                            {"about", view.hides_answers ? "" : base::printable(key.about)}});
  }
  std::string line = to_line(json);
  line.pop_back();  // the line break
  return line;
}

}  // namespace brink::report
