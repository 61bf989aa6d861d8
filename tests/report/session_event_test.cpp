#include "show/session_event.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <ctime>
#include <nlohmann/json.hpp>

#include "base/time_of_day.h"
#include "base/units.h"
#include "report/event_json.h"
#include "report/event_osc.h"

using namespace brink;
using nlohmann::json;
using show::EventKind;

namespace {

show::SessionEvent ringing() {
  show::SessionEvent event;
  event.kind = EventKind::kRinging;
  event.stream_s = 10.93;
  event.tap = 2;
  event.sample_rate_hz = 48000.0;
  event.ring.id = 7;
  event.ring.frequency_hz = 2631.4;
  event.ring.onset_sample = 509280;
  event.ring.flagged_sample = 524640;
  event.ring.growth_db_per_s = 34.7;
  event.ring.level_dbfs = -20.0;
  event.ring.peak_dbfs = -19.5;
  event.ring.confidence = 0.98;
  event.cut = cuts::Cut{2631.0, 8.0, -6.0};
  return event;
}

}  // namespace

TEST_CASE("a ring's event carries the same keys as an analysis") {
  const json line = json::parse(report::event_json(ringing()));
  CHECK(line["schema"] == "brink/event/1");
  CHECK(line["event"] == "ringing");
  CHECK(line["stream_s"] == 10.93);
  CHECK(line["tap"] == 2);
  const json& ring = line["ring"];
  CHECK(ring["id"] == 7);
  CHECK(ring["channel"] == 2);
  CHECK(ring["frequency_hz"] == 2631.4);
  CHECK(ring["onset_s"] == 10.61);
  CHECK(ring["flagged_s"] == 10.93);
  CHECK(ring["ended_s"].is_null());
  CHECK(ring["growth_db_per_s"] == 34.7);
  CHECK(ring["note"] == "E7 -4 c");
  CHECK(ring["cut"] == json{{"centre_hz", 2631.0}, {"q", 8.0}, {"depth_db", -6.0}});
}

TEST_CASE("a ring at a calibrated microphone carries the sound pressure there") {
  show::SessionEvent event = ringing();
  CHECK_FALSE(json::parse(report::event_json(event)).contains("laeq_1s_db"));
  event.sound = show::SoundLevels{93.24, 88.0, base::kSilenceDb, 60.0};
  const json line = json::parse(report::event_json(event));
  CHECK(line["laeq_1s_db"] == 93.2);
  CHECK(line["laeq_db"] == 88.0);
  CHECK(line["laeq_15min_db"].is_null());
}

TEST_CASE("a ring that is not certain has no cut") {
  show::SessionEvent event = ringing();
  event.kind = EventKind::kBuilding;
  event.ring.flagged_sample = detector::kNever;
  event.cut.reset();
  const json line = json::parse(report::event_json(event));
  CHECK(line["event"] == "building");
  CHECK_FALSE(line["ring"].contains("cut"));
  CHECK(line["ring"]["flagged_s"].is_null());
}

TEST_CASE("the input's events say why, how many and where") {
  show::SessionEvent event;
  event.kind = EventKind::kInputLost;
  event.reason = show::LossReason::kFrozen;
  json line = json::parse(report::event_json(event));
  CHECK(line["event"] == "input-lost");
  CHECK(line["reason"] == "frozen");
  CHECK_FALSE(line.contains("tap"));
  event.reason = show::LossReason::kZeros;
  event.tap = 3;
  line = json::parse(report::event_json(event));
  CHECK(line["reason"] == "zeros");
  CHECK(line["tap"] == 3);
  event = {};
  event.kind = EventKind::kSamplesLost;
  event.lost_samples = 480;
  CHECK(json::parse(report::event_json(event))["samples"] == 480);
  event.lost_samples = show::SessionEvent::kUnknownCount;
  CHECK(json::parse(report::event_json(event))["samples"].is_null());
  event.kind = EventKind::kInputBack;
  CHECK(json::parse(report::event_json(event))["event"] == "input-back");
}

TEST_CASE("the wall clock is local time with its offset") {
  const std::string text = base::wall_text({});
  const std::time_t epoch = 0;
  const std::tm local = *std::localtime(&epoch);  // NOLINT(concurrency-mt-unsafe): one thread
  std::array<char, 32> expected{};
  std::strftime(expected.data(), expected.size(), "%Y-%m-%dT%H:%M:%S", &local);
  CHECK(text.substr(0, 19) == expected.data());
  CHECK(text.substr(19, 4) == ".000");
  CHECK(text.size() == 29);
  CHECK(text[26] == ':');
}

TEST_CASE("an event as a message has the arguments that docs/osc.md lists") {
  const report::EventMessage message = report::event_osc(ringing());
  CHECK(message.address == "/brink/ringing");
  REQUIRE(message.values.size() == 13);
  CHECK(std::get<std::int32_t>(message.values[0]) == 2);
  CHECK(std::get<float>(message.values[1]) == 10.93F);
  CHECK(std::get<std::int32_t>(message.values[2]) == 7);
  CHECK(std::get<float>(message.values[3]) == 2631.4F);
  CHECK(std::get<float>(message.values[4]) == 34.7F);
  CHECK(std::get<float>(message.values[5]) == -20.0F);
  CHECK(std::get<float>(message.values[6]) == 0.98F);
  CHECK(std::get<float>(message.values[7]) == 2631.0F);
  CHECK(std::get<float>(message.values[8]) == 8.0F);
  CHECK(std::get<float>(message.values[9]) == -6.0F);
  CHECK(std::get<std::string>(message.values[10]) == "E7 -4 c");
  CHECK(std::get<float>(message.values[11]) == 0.0F);  // one tap: no share
  CHECK(std::get<std::string>(message.values[12]) == "channel 2");

  show::SessionEvent lost;
  lost.kind = EventKind::kSamplesLost;
  lost.lost_samples = 480;
  CHECK(std::get<std::int32_t>(report::event_osc(lost).values.at(2)) == 480);
  lost.kind = EventKind::kInputLost;
  CHECK(report::event_osc(lost).address == "/brink/input-lost");
  CHECK(std::get<std::string>(report::event_osc(lost).values.at(2)) == "vanished");
  lost.kind = EventKind::kInputBack;
  CHECK(report::event_osc(lost).values.size() == 2);
}
