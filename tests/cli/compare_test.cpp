#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "support/program.h"

using brink::tests::Outcome;
using brink::tests::run_brink;
using nlohmann::json;

namespace {

const std::string kFolder = std::string(BRINK_TEST_SIGNALS) + "/";

}  // namespace

TEST_CASE("two recordings: what rang in both with how far it moved, and what rang in one alone") {
  const Outcome outcome = run_brink({"compare",
                                     kFolder + "two_rings.flac",
                                     kFolder + "band_in_side_room.flac",
                                     "--within",
                                     "20",
                                     "--format",
                                     "json",
                                     "--quiet"});
  REQUIRE(outcome.status == 0);
  const json report = json::parse(outcome.out);
  CHECK(report["before"]["name"] == "two_rings.flac");
  REQUIRE(report["outputs"].size() == 1);
  // test-signals/truth.json: the loop of both clips rings at 2060.2 and 3706.5 Hz.
  const json& again = report["outputs"][0]["again"];
  REQUIRE(again.size() == 2);
  for (const json& pair : again) {
    CHECK(std::abs(pair["apart_cents"].get<double>()) < 5.0);
  }
  CHECK(report["outputs"][0]["new"].empty());
  CHECK(report["outputs"][0]["quiet"].empty());
}

TEST_CASE("recordings of two places have nothing in common, and a missing one is named") {
  const Outcome outcome =
      run_brink({"compare", kFolder + "wedge.flac", kFolder + "two_rings.flac"});
  REQUIRE(outcome.status == 0);
  CHECK(outcome.out.find("rang again") == std::string::npos);
  CHECK(outcome.out.find("quiet this time") != std::string::npos);
  const Outcome missing = run_brink({"compare", kFolder + "wedge.flac", "no-such.wav"});
  CHECK(missing.status == 2);
  CHECK(missing.err.find("no-such.wav: there is no such file") != std::string::npos);
}
