#include "report/book/book_json.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "base/error.h"
#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "report/book/book_import.h"
#include "report/book/book_merge.h"
#include "report/book/book_text.h"
#include "support/book_samples.h"
#include "support/files.h"

using brink::base::Error;
using brink::report::parse_book;
using brink::report::score_json;
using brink::report::show_json;
using brink::show::ShowRecord;
using brink::tests::sample_guess;
using brink::tests::sample_show;
using nlohmann::json;

namespace {

void check_refused(const std::string& text, const std::string& part) {
  CAPTURE(text);
  CHECK_THROWS_WITH_AS(
      (void)parse_book(text, "shows.json"), doctest::Contains(part.c_str()), Error);
}

std::string with(const char* field, const json& value) {
  json line = json::parse(show_json(sample_show(1, 1, 1)));
  line[json::json_pointer(field)] = value;
  return line.dump();
}

}  // namespace

TEST_CASE("a show and a guess come back from JSON as they were, bit by bit") {
  ShowRecord show = sample_show(1);
  show.venue = "quotes \" \\ and \n lines, \xc3\xbc";
  show.outputs[0].rounds[0].ring.frequency_hz = 0.1 + 0.2;
  show.outputs[1].rounds[2].proposed.reset();
  show.outputs[1].rounds[2].rang_at_db.reset();
  const std::string text = show_json(show) + score_json(sample_guess(3)) + "\n \n";
  CHECK(std::count(text.begin(), text.end(), '\n') == 4);
  const auto action = parse_book(text, "shows.json");
  REQUIRE(action.shows.size() == 1);
  CHECK(action.shows[0] == show);
  REQUIRE(action.guesses.size() == 1);
  CHECK(action.guesses[0] == sample_guess(3));
  CHECK(action.erased_shows.empty());
}

TEST_CASE("JSON of a show has the fields that are published") {
  const json line = json::parse(show_json(sample_show(2, 1, 1)));
  CHECK(line["schema"] == "brink/book/1");
  CHECK(line["key"].get<std::string>().size() == 32);
  CHECK(line["outputs"][0]["rounds"][0]["ring"]["frequency_hz"].is_number());
  CHECK(line["outputs"][0]["cuts"].is_array());
  CHECK(line["dismissals"][0]["reason"] == "hum");
  CHECK(line["outputs"][0]["won_db"].is_number());
  // Bytes that are no UTF-8 must not break the line.
  ShowRecord odd = sample_show(2, 1, 1);
  odd.note = "\xff";
  CHECK(json::parse(show_json(odd))["note"] == "\xef\xbf\xbd");
}

TEST_CASE("fields that are missing are empty, fields of a later brink are passed over") {
  const auto action =
      parse_book(R"({"schema":"brink/book/1","key":"0123456789abcdef0123456789abcdef","later":[1],)"
                 R"("outputs":[{"rounds":[{"ring":{"frequency_hz":500}}]}]})",
                 "shows.json");
  REQUIRE(action.shows.size() == 1);
  CHECK(action.shows[0].venue.empty());
  CHECK(action.shows[0].outputs.at(0).rounds.at(0).ring.frequency_hz == 500.0);
  CHECK(!action.shows[0].outputs[0].rounds[0].cut);
}

TEST_CASE("what an older brink exported claims no margin under nothing, and its check is words") {
  const auto action = parse_book(
      R"({"schema":"brink/book/1","key":"0123456789abcdef0123456789abcdef","last_check":"nothing rang, 20:14",)"
      R"("outputs":[{"name":"wedge 1","back_off_db":6.0,"advice":"Go on."},)"
      R"({"name":"wedge 2","back_off_db":6.0,"start_at_db":-14.0,"advice":"Stop."}]})",
      "old.jsonl");
  REQUIRE(action.shows.size() == 1);
  const ShowRecord& show = action.shows[0];
  REQUIRE(show.check);
  CHECK(show.check->older_words == "nothing rang, 20:14");
  REQUIRE(show.outputs.size() == 2);
  CHECK(show.outputs[0].is_ended);
  CHECK(!show.outputs[0].back_off_db);
  CHECK(show.outputs[0].advice.empty());
  CHECK(show.outputs[1].is_ended);
  CHECK(show.outputs[1].back_off_db == 6.0);
}

TEST_CASE("what is no line of the book is refused in one sentence with its number") {
  check_refused("", "shows.json: is empty.");
  check_refused("\n\n", "is empty");
  check_refused("hello", "shows.json, line 1: is not what");
  check_refused("[]", "line 1");
  check_refused(show_json(sample_show(1)) + "{}", "line 2");
  check_refused(show_json(sample_show(1)).substr(0, 500), "line 1");
  check_refused(with("/schema", "brink/book/2"), "line 1");
  check_refused(with("/key", "abc"), "line 1");
  check_refused(with("/key", 7), "line 1");
  check_refused(with("/outputs", "none"), "line 1");
  check_refused(with("/outputs", json::array({1})), "line 1");
  check_refused(with("/outputs/0/cuts", json::array({"deep"})), "line 1");
  check_refused(with("/outputs/0/rounds/0/cut", 3), "line 1");
  check_refused(with("/outputs/0/rounds/0/ring", nullptr), "line 1");
  check_refused(with("/dismissals", json::array({nullptr})), "line 1");
  check_refused(with("/outputs/0/rounds/0/ring/frequency_hz", "high"), "line 1");
  check_refused(with("/outputs/0/prepared", json::array({1})), "line 1");
  check_refused(std::string(100000, '['), "line 1");
  check_refused("{\"a\":" + std::string(100000, '['), "line 1");
  check_refused(
      R"({"schema":"brink/score/1","key":"0123456789abcdef0123456789abcdef","level":1e30})",
      "line 1");
  check_refused(R"({"schema":"brink/score/1","key":"0123456789abcdef0123456789abcdef","seed":-1})",
                "line 1");
  check_refused(
      R"({"schema":"brink/score/1","key":"0123456789abcdef0123456789abcdef","true_hz":1e999})",
      "line 1");
}

TEST_CASE("taking in again what is there changes nothing, what differs is left or replaced") {
  const brink::tests::TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  brink::io::BookAction kept;
  kept.shows = {sample_show(1), sample_show(2)};
  kept.guesses = {sample_guess(1)};
  {
    brink::io::Book book(path);
    (void)book.keep(kept);
  }
  brink::io::BookReader reader(path);
  brink::io::BookAction brought = kept;
  brought.shows.push_back(sample_show(3));
  brought.shows.push_back(sample_show(3));  // twice in one file
  brought.shows[1].note = "changed";
  brought.guesses.push_back(sample_guess(2));
  const auto left = brink::report::plan_import(reader, brought, false);
  CHECK(left.new_count == 2);
  CHECK(left.same_count == 2);
  CHECK(left.changed_count == 1);
  REQUIRE(left.action.shows.size() == 1);
  CHECK(left.action.shows[0] == sample_show(3));
  CHECK(left.action.guesses.size() == 1);
  const auto replaced = brink::report::plan_import(reader, brought, true);
  CHECK(replaced.changed_count == 1);
  CHECK(replaced.action.shows.size() == 2);
}

TEST_CASE("an analysis becomes outputs with rings still to be cut") {
  const std::string line =
      R"({"schema":"brink/analysis/1","file":"takes/wedge.wav","sample_rate_hz":48000,)"
      R"("duration_s":18.0,"channels":2,"rings":[{"channel":2,"frequency_hz":2631.4,)"
      R"("frequency_sd_hz":0.2,"onset_s":10.61,"flagged_s":10.93,"ended_s":null,)"
      R"("growth_db_per_s":34.7,"peak_dbfs":-7.6,"confidence":0.98,"note":"E7 -4 c",)"
      R"("cut":{"centre_hz":2631,"q":8.0,"depth_db":-6.0}},{"channel":1,"state":"building",)"
      R"("frequency_hz":300.0,"flagged_s":null}],"cuts":[]})";
  brink::report::MergeConfig config;
  config.started = brink::base::parse_time("2026-05-01T19:00:00+02:00");
  const auto outputs = brink::report::parse_analysis(line, "a.json", config);
  REQUIRE(outputs.size() == 2);
  CHECK(outputs[0].name == "wedge.wav, channel 1");
  CHECK(outputs[0].rounds.empty());
  REQUIRE(outputs[1].rounds.size() == 1);
  const auto& round = outputs[1].rounds[0];
  CHECK(round.ring.flagged_at == "2026-05-01T19:00:10.930+02:00");
  CHECK(round.ring.frequency_hz == 2631.4);
  CHECK(round.ring.confidence == 0.98);
  CHECK(round.proposed == brink::cuts::Band{2631.0, 8.0, -6.0});
  CHECK(!round.cut);
  CHECK(outputs[1].cuts.empty());

  ShowRecord show;
  brink::report::merge_outputs(show, outputs);
  const ShowRecord once = show;
  brink::report::merge_outputs(show, outputs);
  CHECK(show == once);
  CHECK(brink::report::merged_key("a", "b") == brink::report::merged_key("a", "b"));
  CHECK(brink::report::merged_key("a", "b") != brink::report::merged_key("b", "a"));

  config.output = "wedge 1";
  CHECK(brink::report::parse_analysis(line, "a.json", config)[1].name == "wedge 1, channel 2");
  CHECK_THROWS_AS((void)brink::report::parse_analysis(line + "\n" + line, "a.json", config), Error);
  for (const char* const channel : {"3", "0", "-9223372036854775808", "1e300"}) {
    CAPTURE(channel);
    std::string wrong = line;
    wrong.replace(wrong.find("\"channel\":2"), 11, std::string("\"channel\":") + channel);
    CHECK_THROWS_AS((void)brink::report::parse_analysis(wrong, "a.json", config), Error);
  }
}

TEST_CASE("CSV has a line for each round, as wide as its head") {
  // Fields are counted outside of quotes, as RFC 4180 has them.
  const auto field_count = [](const std::string& line) {
    bool is_quoted = false;
    int count = 1;
    for (const char c : line) {
      is_quoted = is_quoted != (c == '"');
      count += !is_quoted && c == ',' ? 1 : 0;
    }
    return count;
  };
  ShowRecord show = sample_show(1, 2, 3);
  show.outputs[0].rounds[0].note = "loud, \"very\"";
  show.outputs[0].rounds[1].cut.reset();
  show.outputs[1].rounds.clear();
  for (auto& output : show.outputs) {
    output.sweeps.clear();
  }
  brink::show::SweepRecord& sweep = show.outputs[0].sweeps.emplace_back();
  sweep.made_at = "2026-05-01T18:00:00+02:00";
  sweep.stable_gain_db = 11.5;
  sweep.won_least_db = 3.25;
  sweep.won_most_db = 4.5;
  sweep.lost_db = 1.25;
  sweep.rings = {{811.0, 11.5}, {2631.0, 12.75}};
  sweep.cuts = {brink::cuts::to_band(brink::cuts::Cut{811.0, 8.0, -3.0})};
  std::string text = brink::report::shows_csv_header() + brink::report::show_csv(show);
  CHECK(std::count(text.begin(), text.end(), '\n') == 9);
  CHECK(text.find(",1,2026-05-01T18:00:00+02:00,,,,,,,,,,,,,,,,sweep,11.5,3.25,4.5,1.25,\n") !=
        std::string::npos);
  CHECK(text.find(",2631,,,,,,,,,,,,,,,foreseen,12.75,,,,\n") != std::string::npos);
  CHECK(text.find(",811,8,-3,,,,,planned,,,,,\n") != std::string::npos);
  CHECK(text.find("\"loud, \"\"very\"\"\"") != std::string::npos);
  while (!text.empty()) {
    const std::string line = text.substr(0, text.find('\n'));
    CAPTURE(line);
    CHECK(field_count(line) == 30);
    text.erase(0, line.size() + 1);
  }
}

TEST_CASE("text for a terminal has no control characters of what was kept") {
  ShowRecord show = sample_show(1);
  const std::string evil = "\x1b[31mred\a";
  show.venue = show.name = show.note = show.check->older_words = show.started_at = evil;
  show.outputs[0].name = show.outputs[0].target = show.outputs[0].note = evil;
  show.outputs[0].rounds[0].note = show.outputs[0].rounds[0].ring.flagged_at = evil;
  show.dismissals[0].reason = show.dismissals[0].dismissed_at = evil;
  const std::string text =
      brink::report::show_text(show) +
      brink::report::comparison_text(show, show, brink::show::compare_visits(show, show));
  CHECK(std::none_of(
      text.begin(), text.end(), [](char c) { return c < ' ' && c >= 0 && c != '\n'; }));
  CHECK(text.find("rang again") != std::string::npos);
}
