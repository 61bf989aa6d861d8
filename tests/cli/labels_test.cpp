#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "support/program.h"

using namespace brink;
using nlohmann::json;
using tests::run_brink;

namespace {

const std::string kFolder = BRINK_TEST_SIGNALS;

std::vector<std::vector<std::string>> labels_of(const std::string& text) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream fields(line);
    auto& row = rows.emplace_back();
    for (std::string field; std::getline(fields, field, '\t');) {
      row.push_back(field);
    }
  }
  return rows;
}

}  // namespace

TEST_CASE("a label track has start, end and words for each ring of the JSON") {
  const std::string clip = kFolder + "/cut_goes_in.flac";
  const auto labels = run_brink({"analyse", clip, "--format", "labels", "--quiet"});
  CHECK(labels.status == 0);
  CHECK(labels.err.empty());
  const json rings =
      json::parse(run_brink({"analyse", clip, "--format", "json", "--quiet"}).out)["rings"];
  const auto rows = labels_of(labels.out);
  REQUIRE(rows.size() == rings.size());
  REQUIRE(!rows.empty());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    CAPTURE(labels.out);
    REQUIRE(rows[i].size() == 3);
    CHECK(rows[i][0].size() - rows[i][0].find('.') == 7);  // six decimals
    CHECK(std::stod(rows[i][0]) == rings[i]["onset_s"].get<double>());
    CHECK(std::stod(rows[i][1]) == rings[i]["ended_s"].get<double>());
    const auto hz = std::to_string(std::lround(rings[i]["frequency_hz"].get<double>()));
    CHECK(rows[i][2].rfind(hz + " Hz, grew ", 0) == 0);
    CHECK(rows[i][2].find("; cut ") != std::string::npos);
  }
}

TEST_CASE("a label track of a plain recording is empty, and --all names what never was certain") {
  const auto plain =
      run_brink({"analyse", kFolder + "/plain_voice.flac", "--format", "labels", "--quiet"});
  CHECK(plain.status == 0);
  CHECK(plain.out.empty());
  const std::string clip = kFolder + "/music_wedge.flac";
  const auto some = labels_of(run_brink({"analyse", clip, "--format", "labels", "--quiet"}).out);
  const auto all =
      labels_of(run_brink({"analyse", clip, "--format", "labels", "--quiet", "--all"}).out);
  REQUIRE(all.size() > some.size());
  for (std::size_t i = some.size(); i < all.size(); ++i) {
    REQUIRE(all[i].size() == 3);
    CHECK(std::stod(all[i][1]) >= std::stod(all[i][0]));
    CHECK(all[i][2].find("; never certain") != std::string::npos);
  }
}

TEST_CASE("a label track belongs to one recording") {
  const std::string clip = kFolder + "/plain_voice.flac";
  const auto outcome = run_brink({"analyse", clip, clip, "--format", "labels"});
  CHECK(outcome.status == 2);
  CHECK(outcome.out.empty());
  CHECK(outcome.err.find("--format labels writes the label track of one recording") !=
        std::string::npos);
}
