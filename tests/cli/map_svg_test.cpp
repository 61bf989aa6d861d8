#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <string>
#include <vector>

#include "support/program.h"

using namespace brink;
using nlohmann::json;
using tests::run_brink;

namespace {

const std::string kFolder = BRINK_TEST_SIGNALS;

struct Point {
  double x = 0.0;
  double y = 0.0;
};

std::vector<std::smatch> all_matches(const std::string& text, const std::regex& what) {
  return {std::sregex_iterator(text.begin(), text.end(), what), std::sregex_iterator()};
}

/// Where the words of the scales stand.
std::map<std::string, Point> words_of(const std::string& svg) {
  static const std::regex kText(R"re(<text x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]*)</text>)re");
  std::map<std::string, Point> words;
  for (const std::smatch& text : all_matches(svg, kText)) {
    words[text[3]] = {std::stod(text[1]), std::stod(text[2])};
  }
  return words;
}

}  // namespace

TEST_CASE("on a recording's map each ring lies where its own scales have its times and frequency") {
  const std::string clip = kFolder + "/two_rings.flac";
  const auto picture = run_brink({"analyse", clip, "--format", "svg", "--quiet"});
  CHECK(picture.status == 0);
  CHECK(picture.err.empty());
  CHECK(picture.out.rfind("<!-- brink analyse -->\n<svg ", 0) == 0);
  const json found = json::parse(run_brink({"analyse", clip, "--format", "json", "--quiet"}).out);
  const auto words = words_of(picture.out);
  const Point low = words.at("250");
  const Point high = words.at("4k");
  const Point begin = words.at("0 s");
  const Point later = words.at("5 s");
  static const std::regex kRing(
      R"re(class="(ring|folded)" x1="([\d.]+)" x2="([\d.]+)" y1="([\d.]+)")re");
  const auto lines = all_matches(picture.out, kRing);
  CHECK(lines.size() == found["rings"].size());
  for (const json& ring : found["rings"]) {
    const double octaves = std::log2(ring["frequency_hz"].get<double>() / 250.0);
    // A word's line stands 5 pixels under the middle of what it names.
    const double y = low.y - 5.0 + octaves / 4.0 * (high.y - low.y);
    const double x = begin.x + ring["ended_s"].get<double>() / 5.0 * (later.x - begin.x);
    const bool is_there = std::any_of(lines.begin(), lines.end(), [&](const std::smatch& line) {
      return std::abs(std::stod(line[4]) - y) < 0.6 && std::abs(std::stod(line[3]) - x) < 1.5;
    });
    CHECK_MESSAGE(is_there, ring.dump());
  }
  for (const json& place : found["places"]) {
    const json& loudest = found["rings"][place["loudest"].get<std::size_t>()];
    const std::string level = loudest["peak_dbfs"].dump();  // both have one decimal
    CHECK_MESSAGE(picture.out.find(level) != std::string::npos, level);
  }
}

TEST_CASE(
    "a picture belongs to one recording, replaces only its like, and is there when nothing rang") {
  const std::string plain = kFolder + "/plain_voice.flac";
  const auto two = run_brink({"analyse", plain, plain, "--format", "svg"});
  CHECK(two.status == 2);
  CHECK(two.err.find("--format svg writes the picture of one recording") != std::string::npos);
  const auto quiet = run_brink({"analyse", plain, "--format", "svg", "--quiet"});
  CHECK(quiet.status == 0);
  CHECK(quiet.out.find("0 rings at 0 places") != std::string::npos);
  CHECK(quiet.out.find("</svg>\n") != std::string::npos);
}
