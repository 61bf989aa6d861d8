#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "listen/analysis.h"
#include "report/analysis/analysis_csv.h"
#include "report/analysis/analysis_json.h"
#include "report/analysis/analysis_text.h"
#include "report/ring_row.h"

using namespace brink;
using Json = nlohmann::ordered_json;

namespace {

listen::FoundRing found(int channel,
                        double frequency_hz,
                        std::int64_t onset_sample,
                        bool is_certain) {
  listen::FoundRing found;
  found.channel = channel;
  found.ring.id = 1;
  found.ring.state = is_certain ? detector::RingState::kFading : detector::RingState::kBuilding;
  found.ring.frequency_hz = frequency_hz;
  found.ring.frequency_sd_hz = 0.21234567;
  found.ring.onset_sample = onset_sample;
  found.ring.flagged_sample = is_certain ? onset_sample + 15360 : detector::kNever;
  found.ring.ended_sample = onset_sample + 124320;
  found.ring.growth_db_per_s = 34.7123;
  found.ring.peak_dbfs = -7.64;
  found.ring.confidence = is_certain ? 0.98 : 0.4;
  found.cut = {2631.0, 8.0, -6.0};
  return found;
}

/// The numbers of the example in the design, with one ring that never was certain.
listen::Analysis example() {
  listen::Analysis analysis;
  analysis.file = "wedge 2.wav";
  analysis.sample_rate_hz = 48000.0;
  analysis.samples = 864000;
  analysis.channels = 1;
  analysis.analysed = {{1, {}}};
  analysis.rings = {found(1, 2631.4, 509280, true)};
  analysis.unsure = {found(1, 440.0, 96000, false)};
  analysis.cuts = {{{2631.0, 8.0, -6.0}, {0}}};
  return analysis;
}

std::vector<std::string> keys(const Json& object) {
  std::vector<std::string> names;
  for (const auto& [name, value] : object.items()) {
    names.push_back(name);
  }
  return names;
}

std::size_t widest_line(const std::string& text) {
  std::istringstream lines(text);
  std::size_t widest = 0;
  for (std::string line; std::getline(lines, line);) {
    widest = std::max(widest, line.size());
  }
  return widest;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("JSON: one line, the keys of the schema in their order, rounded values") {
  const std::string text = report::report_json(example(), false);
  CHECK(std::count(text.begin(), text.end(), '\n') == 1);
  CHECK(text.back() == '\n');
  CHECK(text == R"({"schema":"brink/analysis/1","file":"wedge 2.wav","sample_rate_hz":48000,)"
                R"("duration_s":18.0,"channels":1,"rings":[{"channel":1,"frequency_hz":2631.4,)"
                R"("frequency_sd_hz":0.212,"onset_s":10.61,"flagged_s":10.93,"ended_s":13.2,)"
                R"("growth_db_per_s":34.71,"peak_dbfs":-7.6,"confidence":0.98,"note":"E7 -4 c",)"
                R"("cut":{"centre_hz":2631.0,"q":8.0,"depth_db":-6.0}}],"withdrawn":[],)"
                R"("places":[{"rings":[0],"loudest":0,"left_db":7.6,"rank_db":-0.7,"folded":[]}],)"
                R"("cuts":[{"centre_hz":2631.0,"q":8.0,"depth_db":-6.0,"for_rings":[0]}]})"
                "\n");
}

TEST_CASE("JSON: everything asked for adds states and the uncertain, behind the others") {
  const Json report = Json::parse(report::report_json(example(), true));
  REQUIRE(report["rings"].size() == 2);
  CHECK(report["rings"][0]["state"] == "fading");
  CHECK(report["rings"][1]["state"] == "building");
  CHECK(report["rings"][1]["flagged_s"].is_null());
  CHECK_FALSE(report["rings"][1].contains("cut"));
  CHECK(report["cuts"][0]["for_rings"] == Json::array({0}));
  CHECK(keys(report["rings"][0]) == std::vector<std::string>{"channel",
                                                             "state",
                                                             "frequency_hz",
                                                             "frequency_sd_hz",
                                                             "onset_s",
                                                             "flagged_s",
                                                             "ended_s",
                                                             "growth_db_per_s",
                                                             "peak_dbfs",
                                                             "confidence",
                                                             "note",
                                                             "cut"});
}

TEST_CASE("JSON: what was withdrawn has a list of its own, and no cut") {
  listen::Analysis analysis = example();
  analysis.withdrawn.push_back(found(1, 440.0, 96000, true));
  analysis.withdrawn.back().ring.state = detector::RingState::kWithdrawn;
  const Json report = Json::parse(report::report_json(analysis, false));
  CHECK(report["rings"].size() == 1);
  REQUIRE(report["withdrawn"].size() == 1);
  CHECK(report["withdrawn"][0]["state"] == "withdrawn");
  CHECK_FALSE(report["withdrawn"][0].contains("cut"));
  CHECK_FALSE(has(report::report_text(analysis, false), "440 Hz"));
  CHECK(has(report::report_text(analysis, true), "440 Hz"));
}

TEST_CASE("JSON: valid for any file name") {
  listen::Analysis analysis = example();
  for (const char* name :
       {"quo\"te\\back.wav", "new\nline\ttab.wav", "caf\xe9 \xff\xfe.wav", "\x01\x7f", ""}) {
    analysis.file = name;
    const std::string text = report::report_json(analysis, false);
    CHECK(std::count(text.begin(), text.end(), '\n') == 1);
    CHECK(Json::accept(text));
  }
  analysis.file = "na\xc3\xafve.wav";
  CHECK(Json::parse(report::report_json(analysis, false))["file"] == "na\xc3\xafve.wav");
}

TEST_CASE("JSON: nothing found is two empty lists") {
  listen::Analysis analysis = example();
  analysis.rings.clear();
  analysis.cuts.clear();
  const Json report = Json::parse(report::report_json(analysis, false));
  CHECK(report["rings"] == Json::array());
  CHECK(report["cuts"] == Json::array());
}

TEST_CASE("CSV: a header and a row of as many fields for each ring") {
  CHECK(report::report_csv_header() ==
        "file,channel,state,frequency_hz,frequency_sd_hz,onset_s,flagged_s,ended_s,growth_db_per_s,"
        "peak_dbfs,confidence,note,cut_centre_hz,cut_q,cut_depth_db,shares,channel_name\n");
  CHECK(report::report_csv(example(), false) ==
        "wedge 2.wav,1,fading,2631.4,0.212,10.61,10.93,13.2,34.71,-7.6,0.98,E7 -4 c,2631,8,-6,,\n");
  CHECK(report::report_csv(example(), true) ==
        "wedge 2.wav,1,fading,2631.4,0.212,10.61,10.93,13.2,34.71,-7.6,0.98,E7 -4 c,2631,8,-6,,\n"
        "wedge 2.wav,1,building,440,0.212,2,,4.59,34.71,-7.6,0.4,A4 +0 c,,,,,\n");
}

// Source: RFC 4180, section 2, rules 5 to 7.
TEST_CASE("CSV: fields are quoted where they must be") {
  CHECK(report::csv_field("plain name.wav") == "plain name.wav");
  CHECK(report::csv_field("a,b") == "\"a,b\"");
  CHECK(report::csv_field("say \"hey\"") == "\"say \"\"hey\"\"\"");
  CHECK(report::csv_field("two\nlines") == "\"two\nlines\"");
  CHECK(report::csv_field("").empty());
}

// Source: OWASP, "CSV Injection": cells that begin with = + - @ tab or carriage return.
TEST_CASE("CSV: what a spreadsheet would take for a formula is text") {
  CHECK(report::csv_field("=1+1") == "'=1+1");
  CHECK(report::csv_field("+1") == "'+1");
  CHECK(report::csv_field("-1.wav") == "'-1.wav");
  CHECK(report::csv_field("@SUM(A1)") == "'@SUM(A1)");
  CHECK(report::csv_field("\t=1") == "'\t=1");
  CHECK(report::csv_field("\r=1") == "\"'\r=1\"");
  CHECK(report::csv_field("=A1,B1") == "\"'=A1,B1\"");
  listen::Analysis analysis = example();
  analysis.file = "=cmd.wav";
  CHECK(has(report::report_csv(analysis, false), "'=cmd.wav,"));
}

TEST_CASE("text: when, which frequency and note, how fast, what to cut") {
  const std::string text = report::report_text(example(), false);
  CHECK(has(text, "wedge 2.wav\n0:18.0 at 48 kHz, 1 channel\n"));
  CHECK(has(text, "1 ring."));
  CHECK(has(text, " 1.   0:10.6 2631 Hz (E7 -4 c)\n"));
  CHECK(has(text, "grew 35 dB a second up to -7.6 dBFS, for 2.6 s, 98 % sure"));
  CHECK(has(text, "cut 2631 Hz by 6 dB at Q 8\n"));
  CHECK_FALSE(has(text, "A4"));
  CHECK_FALSE(has(text, "channel 1\n "));
  CHECK(has(report::report_text(example(), true), "- "));
  CHECK(has(report::report_text(example(), true), "last seen building"));
}

TEST_CASE("several microphones: who has how much, and what to do first") {
  listen::Analysis analysis = example();
  analysis.channels = 8;
  analysis.names = show::ChannelNames::parse("3 vocal left\n17 output wedge 1\n", "names");
  listen::FoundRing& ring = analysis.rings.front();
  ring.channel = 3;
  ring.shares.count = 4;
  ring.shares.parts = {brink::taps::TapPart{3, 0.7F, -12.0F},
                       {5, 0.15F, -20.0F},
                       {8, 0.1F, -22.0F},
                       {1, 0.05F, -40.0F}};
  CHECK(has(report::report_text(analysis, false), ", channel 3 (vocal left), also in 5 and 8\n"));
  CHECK(has(report::report_text(analysis, false),
            "first lower channel 3 (vocal left) or cut there, not in the whole output\n"));
  ring.shares.knows_sends = true;
  ring.shares.output = 17;
  ring.shares.output_share = 0.9F;
  CHECK(has(report::report_text(analysis, false), "also in 5 and 8, through wedge 1\n"));
  const Json json = Json::parse(report::report_json(analysis, false))["rings"][0];
  CHECK(json["channel"] == 3);
  REQUIRE(json["shares"].size() == 4);
  CHECK(json["shares"][0] ==
        Json{{"channel", 3}, {"name", "vocal left"}, {"share", 0.7}, {"level_dbfs", -12.0}});
  CHECK(json["through"] == Json{{"channel", 17}, {"share", 0.9}});
  CHECK(has(report::report_csv(analysis, false), "3:0.7 5:0.15 8:0.1 1:0.05,vocal left\n"));
  // Nobody has most of it.
  ring.shares.parts[0].share = 0.4F;
  CHECK(has(report::report_text(analysis, false), "cut in the output: no microphone"));
}

TEST_CASE("text: a place that rang again is one entry with its times") {
  listen::Analysis analysis = example();
  analysis.rings = {found(1, 2631.4, 48000, true),
                    found(1, 811.0, 96000, true),
                    found(1, 2631.5, 144000, true),
                    found(2, 2631.5, 192000, true)};
  analysis.rings[0].ring.place = analysis.rings[2].ring.place = analysis.rings[3].ring.place = 1;
  analysis.rings[1].ring.place = 2;
  analysis.rings[2].ring.peak_dbfs = -3.0;
  analysis.channels = 2;
  analysis.cuts = {{{2631.0, 8.0, -6.0}, {0, 2, 3}}, {{811.0, 8.0, -6.0}, {1}}};
  const std::string text = report::report_text(analysis, false);
  CHECK(text.find("4 rings at 2 places.") != std::string::npos);
  CHECK(text.find("rang 3 times, also at 0:01.0 0:04.0") != std::string::npos);
  CHECK(text.find("ring 1\n") != std::string::npos);
  CHECK(text.find("ring 2\n") != std::string::npos);
  CHECK(text.find(" 3. ") == std::string::npos);
  // Each ring stays by itself in what programs read.
  CHECK(Json::parse(report::report_json(analysis, false))["rings"].size() == 4);
}

TEST_CASE("text: silence is said in words") {
  listen::Analysis analysis = example();
  analysis.rings.clear();
  analysis.cuts.clear();
  CHECK(has(report::report_text(analysis, false), "Nothing rang."));
}

TEST_CASE("text: fits 80 columns at its widest, and no file name steers the terminal") {
  listen::Analysis analysis = example();
  analysis.channels = 64;
  analysis.analysed.front().counts.clipped = 123456789;
  analysis.rings.assign(200, found(64, 19123.4, 48000LL * 36000, true));
  for (auto& one : analysis.rings) {
    one.ring.growth_db_per_s = 1234.5;
    one.ring.peak_dbfs = -100.5;
    one.ring.ended_sample = one.ring.onset_sample + 48000LL * 12345;
    one.ring.confidence = 1.0;
    one.cut = {19123.4, 15.55, -12.5};
  }
  analysis.samples = 48000LL * 60000;
  analysis.cuts.front().for_rings.assign(200, 150);
  analysis.unsure = analysis.rings;
  analysis.file = "hall\x1b[2J\n.wav";
  const std::string text = report::report_text(analysis, true);
  CHECK(widest_line(text) <= 80);
  CHECK_FALSE(has(text, "\x1b"));
  CHECK(has(text, "hall?[2J?.wav\n"));
}

TEST_CASE("moments read as minutes and seconds") {
  CHECK(report::clock_text(0.0) == "0:00.0");
  CHECK(report::clock_text(59.96) == "1:00.0");
  CHECK(report::clock_text(10.61) == "0:10.6");
  CHECK(report::clock_text(3723.45) == "1:02:03.5");
}

TEST_CASE("rounding never writes a negative zero") {
  CHECK(std::signbit(report::round_to_decimals(-0.0001, 2)) == false);
  CHECK(report::round_to_decimals(-0.06, 1) == -0.1);
  CHECK(report::round_to_decimals(2631.41449, 3) == 2631.414);
}
