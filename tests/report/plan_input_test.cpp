#include "report/plan_input.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "base/error.h"
#include "report/plan_report.h"

using namespace brink;

namespace {

template <typename Work>
std::string complaint(const Work& work) {
  try {
    work();
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

constexpr const char* kReport =
    R"({"schema":"brink/analysis/1","file":"a.wav","duration_s":18.0,"rings":[)"
    R"({"channel":1,"frequency_hz":2631.4,"frequency_sd_hz":0.2,"onset_s":10.6,"ended_s":null,)"
    R"("growth_db_per_s":34.7,"cut":{"centre_hz":2631,"q":8.0,"depth_db":-6.0}},)"
    R"({"channel":2,"frequency_hz":811.0,"frequency_sd_hz":0.3,"onset_s":1.0,"ended_s":2.5,)"
    R"("growth_db_per_s":12.0,"cut":{"centre_hz":811,"q":8.0,"depth_db":-3.0}},)"
    R"({"channel":1,"frequency_hz":500.0,"onset_s":1.0,"ended_s":2.5,"state":"building"}],"cuts":[]})";

}  // namespace

TEST_CASE("rings come out of an analysis as they went in, what never was certain does not") {
  const auto rings =
      report::parse_rings_json(std::string(kReport) + "\n\n", "a.json", std::nullopt);
  REQUIRE(rings.size() == 2);
  CHECK(rings[0].frequency_hz == 2631.4);
  CHECK(rings[0].frequency_sd_hz == 0.2);
  CHECK(rings[0].growth_db_per_s == 34.7);
  CHECK(rings[0].start_s == 10.6);
  CHECK(rings[0].end_s == 18.0);
  CHECK(rings[1].end_s == 2.5);
  CHECK(report::parse_rings_json(kReport, "a.json", 2).size() == 1);
  // Two reports, one after the other.
  CHECK(report::parse_rings_json(std::string(kReport) + "\n" + kReport, "a.json", {}).size() == 4);
}

TEST_CASE("what is no analysis is refused with its line") {
  CHECK(complaint([] { (void)report::parse_rings_json("", "a.json", {}); }) == "a.json: is empty.");
  for (const char* text : {"{", "[]", "{}", "{\"schema\":\"brink/analysis/1\"}", "1"}) {
    CAPTURE(text);
    CHECK(complaint([&] {
            (void)report::parse_rings_json(std::string(kReport) + "\n" + text, "a.json", {});
          }) == "a.json, line 2: is not what 'brink analyse --format json' writes.");
  }
}

TEST_CASE("frequencies by hand") {
  const auto rings = report::parse_ring_list("2631, 811.5", 48000.0);
  REQUIRE(rings.size() == 2);
  CHECK(rings[0].frequency_hz == 2631.0);
  CHECK(rings[1].frequency_hz == 811.5);
  for (const char* text : {"", ",", "2631,", "1e9", "-5", "2k", "2631 811"}) {
    CAPTURE(text);
    CHECK(complaint([&] {
            (void)report::parse_ring_list(text, 48000.0);
          }).find("is no frequency in Hz") != std::string::npos);
  }
}

TEST_CASE("a plan from rings promises what such plans kept, and no more than it does itself") {
  report::PlanReport report;
  report.rings.resize(1);
  report.plan.won_db = 6.0;
  CHECK(report::expected_gain(report).least_db == 0.0);
  CHECK(report::expected_gain(report).most_db == 2.0);
  report.rings.resize(4);
  CHECK(report::expected_gain(report).least_db == 1.0);
  CHECK(report::expected_gain(report).most_db == 3.0);
  report.plan.won_db = 0.84;
  CHECK(report::expected_gain(report).least_db == doctest::Approx(0.8));
  CHECK(report::expected_gain(report).most_db == doctest::Approx(0.8));
}

TEST_CASE("the picture is one well-formed svg element with every ring and cut in it") {
  report::PlanReport report;
  report.target = *cuts::find_target("third-octave");
  report.target.name = "desk <A&B>";
  report.rings = report::parse_ring_list("2631,811", 48000.0);
  report.plan = cuts::plan_for_rings(report.rings, report.target);
  const std::string svg = report::plan_svg(report);
  CHECK(svg.find("\n<svg ") != std::string::npos);  // behind the line that names its maker
  CHECK(svg.find("<svg ") == svg.rfind("<svg "));
  CHECK(svg.find("</svg>\n") == svg.size() - 7);
  CHECK(svg.find("desk &lt;A&amp;B&gt;") != std::string::npos);
  CHECK(svg.find("nan") == std::string::npos);
  std::size_t circles = 0;
  for (auto at = svg.find("<circle"); at != std::string::npos; at = svg.find("<circle", at + 1)) {
    ++circles;
  }
  CHECK(circles == report.plan.moves.size() + 1);  // and one in the legend
  CHECK(svg.find("stroke-dasharray") != svg.rfind("stroke-dasharray"));
}
