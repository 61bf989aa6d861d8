#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "support/program.h"

using namespace brink;
using nlohmann::json;

namespace {

const std::string kFolder = BRINK_TEST_SIGNALS;

/// How far a ring lies from where it grows (the pole) or stands at its limiter (the whole turn),
/// whichever is nearer.
double deviation_hz(const json& found, const json& truth) {
  const double hz = found["frequency_hz"];
  return std::min(std::abs(hz - truth["pole_hz"].get<double>()),
                  std::abs(hz - truth["frequency_hz"].get<double>()));
}

}  // namespace

TEST_CASE("the stated deviation of a ring's frequency covers where the loop truly rings") {
  std::ifstream file(kFolder + "/truth.json");
  std::vector<double> in_deviations;
  for (const json& clip : json::parse(file)) {
    const std::string name = clip["clip"];
    if (name == "swung_microphone.flac" || name == "walked_microphone.flac") {
      continue;  // where they ring moves
    }
    const auto outcome =
        tests::run_brink({"analyse", kFolder + "/" + name, "--format", "json", "--quiet"});
    const json report = json::parse(outcome.out);
    for (const json& found : report["rings"]) {
      const double sd_hz = found["frequency_sd_hz"];
      CAPTURE(name);
      CAPTURE(found.dump());
      CHECK(sd_hz >= 0.1);
      CHECK(sd_hz < 1.0);  // and still fine enough for any equaliser
      for (const json& truth : clip["rings"]) {
        if (deviation_hz(found, truth) < 2.0) {
          in_deviations.push_back(deviation_hz(found, truth) / sd_hz);
        }
      }
    }
  }
  REQUIRE(in_deviations.size() >= 6);
  // Three standard deviations: all but one in 370 of a normal error.
  CHECK(*std::max_element(in_deviations.begin(), in_deviations.end()) < 3.0);
}
