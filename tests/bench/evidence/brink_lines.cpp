// brink_lines FILE...   What the rules see, for fitting their numbers: lines that the detector
// would judge in mono recordings, one row of 32-bit floats on stdout for each: file (0, 1, ...),
// scale, track, time in s, frequency in Hz, level over the others in dB, how many lines the row
// stands for, log odds by the table that it was built with, then the measure of each rule in its
// order. Of lines that this table is sure are programme one in 32 is printed and stands for all of
// them.
#include <array>
#include <cstdio>
#include <vector>

#include "detector/rules.h"
#include "evidence/hops.h"

namespace {

using namespace brink;

constexpr int kLookEvery = 2;   // hops, as often as is needed to see every line once
constexpr float kSure = -2.5F;  // log odds
constexpr float kEasyShare = 32.0F;

void print_lines(const char* path, float file_number) {
  detector::Surroundings surroundings;
  std::vector<float> row;
  int hops = 0;
  int easy = 0;
  bench::for_each_hop(path, [&](detector::Scales& scales, double time_s) {
    surroundings.gather(scales.all());
    if (++hops % kLookEvery != 0) {
      return;
    }
    for (std::size_t i = 0; i < scales.all().size(); ++i) {
      const detector::Scale& scale = scales.all()[i];
      for (const detector::Track* track : scale.tracks.live()) {
        surroundings.for_each_line(
            scale, *track, [&](const detector::Measures& line, int /*looks*/) {
              const float odds = detector::log_odds(line);
              const float stands_for = odds < kSure ? kEasyShare : 1.0F;
              if (odds < kSure && easy++ % static_cast<int>(kEasyShare) != 0) {
                return;
              }
              row = {file_number,
                     static_cast<float>(i),
                     static_cast<float>(track->id),
                     static_cast<float>(time_s),
                     line.frequency_hz,
                     line.over_others_db,
                     stands_for,
                     odds};
              for (const detector::Rule& rule : detector::rules()) {
                row.push_back(rule.measure(line));
              }
              std::fwrite(row.data(), sizeof(float), row.size(), stdout);
            });
      }
    }
  });
}

}  // namespace

int main(int argc, char** argv) {
  return bench::for_each_file("brink_lines", argc, argv, print_lines);
}
