#include "report/page/page_state.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "base/units.h"
#include "report/page/page_files.h"
#include "report/page/qr_text.h"

using namespace brink;
using nlohmann::json;
using report::PageView;

namespace {

listen::Snapshot heard(std::size_t taps = 1) {
  listen::Snapshot snapshot;
  snapshot.serial = 1;
  snapshot.taps.resize(taps);
  for (std::size_t i = 0; i < taps; ++i) {
    snapshot.taps[i].tap = static_cast<int>(i) + 1;
    snapshot.taps[i].level.peak_dbfs = -18.4;
  }
  return snapshot;
}

/// Flagged, and rising by 35 dB/s.
report::PageRing ring_at(double frequency_hz) {
  report::PageRing one;
  one.ring.state = detector::RingState::kRinging;
  one.ring.flagged_sample = 1;
  one.ring.frequency_hz = frequency_hz;
  one.ring.growth_db_per_s = 35.0;
  one.ring.level_dbfs = -20.0;
  one.cut = "cut 2.63 kHz  Q 8  -6.0 dB";
  one.tap = 1;
  return one;
}

detector::TrackView track_at(double frequency_hz, double level_dbfs, std::uint32_t ring_id) {
  detector::TrackView track;
  track.track_id = static_cast<std::uint64_t>(frequency_hz);
  track.ring_id = ring_id;
  track.state = detector::RingState::kRinging;
  track.frequency_hz = frequency_hz;
  track.level_dbfs = level_dbfs;
  track.growth_db_per_s = -3.0;
  return track;
}

json state_of(const PageView& view) {
  const std::string line = report::page_state_json(view);
  CHECK(line.find('\n') == std::string::npos);  // it is one message
  return json::parse(line);
}

}  // namespace

TEST_CASE("the page gets the rings in words, and what to do first") {
  const listen::Snapshot snapshot = heard();
  PageView view;
  view.snapshot = &snapshot;
  view.rings.push_back(ring_at(2631.4));
  const json state = state_of(view);
  CHECK(state["schema"] == "brink/page/1");
  CHECK(state["down"] == "Down now: 2.63 kHz");
  const json& ring = state["rings"][0];
  CHECK(ring["state"] == "ringing");
  CHECK(ring["frequency"] == "2.63 kHz");
  CHECK(ring["note"] == "E7 -4 c");
  CHECK(ring["growth"] == "+35 dB/s");
  CHECK(ring["level"] == "-20 dBFS");
  CHECK(ring["cut"] == "cut 2.63 kHz  Q 8  -6.0 dB");
  CHECK(ring["where"] == "");
  CHECK(state["levels"] == json::parse(R"([{"tap":1,"name":"","peak_dbfs":-18.0,"clips":false}])"));
  CHECK(state["round"].is_null());
  CHECK(state["keys"].empty());
}

TEST_CASE("where nothing comes the page shows no level and no map, and says so") {
  listen::Snapshot snapshot = heard();
  snapshot.taps[0].tracks.push_back(track_at(1000.0, -20.0, 1));
  PageView view;
  view.snapshot = &snapshot;
  CHECK(state_of(view)["quiet"] == "Nothing rings");
  CHECK(state_of(view)["map"].size() == 1);
  for (const auto health : {io::InputHealth::kVanished, io::InputHealth::kFrozen}) {
    snapshot.health = health;
    const json state = state_of(view);
    CHECK(state["quiet"] == "brink hears nothing");
    CHECK(state["levels"][0]["peak_dbfs"].is_null());
    CHECK(state["map"].empty());
  }
  snapshot.health = io::InputHealth::kRunning;
  snapshot.taps[0].level.is_silent = true;
  CHECK(state_of(view)["quiet"] == "brink hears nothing");
}

TEST_CASE("hidden answers stay hidden on the page") {
  listen::Snapshot snapshot = heard();
  snapshot.taps[0].tracks.push_back(track_at(2631.4, -20.0, 1));
  PageView view;
  view.snapshot = &snapshot;
  view.hides_answers = true;
  view.rings.push_back(ring_at(2631.4));
  view.rings[0].bands = {"2631 Hz deeper"};
  view.round =
      report::PageRound{"Wedge 1", "Round 1", "Raise", {}, {{"2631 Hz Q 8 -6 dB", "faded"}}};
  view.keys.push_back({"cut", "Log this cut", "2631 Hz Q 8 -6 dB"});
  const std::string line = report::page_state_json(view);
  CHECK(line.find("263") == std::string::npos);
  CHECK(line.find("2.63") == std::string::npos);
  CHECK(line.find("E7") == std::string::npos);
  CHECK(json::parse(line)["map"].empty());
}

TEST_CASE("the map of several channels has every ring, and of other tracks the loudest") {
  listen::Snapshot snapshot = heard(2);
  auto& tracks = snapshot.together.tracks;
  for (int i = 0; i < 200; ++i) {
    tracks.push_back(track_at(100.0 + i, -90.0 + 0.1 * i, 0));
  }
  tracks.push_back(track_at(5000.0, -110.0, 3));
  tracks.push_back(track_at(6000.0, -1.0, 0));
  tracks.back().growth_db_per_s = 0.0;  // too young to have a growth
  PageView view;
  view.snapshot = &snapshot;
  const json map = state_of(view)["map"];
  REQUIRE(map.size() == report::kMostPoints);
  CHECK(map[0] == json::parse(R"([5000,5000.0,-3.0,"ringing"])"));
  std::set<double> heard_hz;
  for (std::size_t i = 1; i < map.size(); ++i) {
    heard_hz.insert(map[i][1].get<double>());
    CHECK(map[i][3] == "");
  }
  CHECK(*heard_hz.begin() == 299.0 - (report::kMostPoints - 2));
  CHECK(*heard_hz.rbegin() == 299.0);
}

TEST_CASE("names from elsewhere cannot break the page's lines or its letters") {
  const listen::Snapshot snapshot = heard();
  PageView view;
  view.snapshot = &snapshot;
  view.source = "mic\n\ndata: x\xFF\xE2\x80\xAE";
  view.trouble = "a\r\n\r\nb";
  const json state = state_of(view);
  CHECK(state["source"].get<std::string>().starts_with("mic??data: x"));
  CHECK(state["trouble"] == "a????b");
}

TEST_CASE("the page is whole, and asks for nothing but its own parts") {
  const auto files = report::page_files();
  REQUIRE(files.size() == 3);
  CHECK(files[0].name.empty());
  for (const io::PageFile& file : files) {
    CAPTURE(std::string(file.name));
    CHECK(file.content.size() > 500);
    CHECK(file.content.find("//cdn") == std::string_view::npos);
    CHECK(file.content.find("http") == std::string_view::npos);
    CHECK(file.content.find("innerHTML") == std::string_view::npos);
  }
  CHECK(files[0].content.find("</html>") != std::string_view::npos);
  CHECK(files[0].content.find("style=") == std::string_view::npos);  // its policy forbids it
}

TEST_CASE("the code in a terminal has its margin and two rows in a line") {
  io::QrCode code;
  code.width = 3;
  code.is_dark = {true, false, true, false, false, true, true, true, true};
  const std::string text = report::qr_text(code);
  // 3 + 2 * 4 rows of modules are 6 lines: two of margin, two of code, two of margin.
  CHECK(std::count(text.begin(), text.end(), '\n') == 6);
  const std::string blank(4, ' ');
  const std::string start = "\x1b[30;107m";
  const std::string end = "\x1b[0m\n";
  const std::string empty = start + std::string(11, ' ') + end;
  CHECK(text == empty + empty + start + blank + "\u2580 \u2588" + blank + end + start + blank +
                    "\u2580\u2580\u2580" + blank + end + empty + empty);
}
