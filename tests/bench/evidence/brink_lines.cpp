// brink_lines FILE...   What the rules see, for fitting their numbers: lines that the detector
// would judge in mono recordings, one row of 32-bit floats on stdout for each: file (0, 1, ...),
// scale, track, time in s, frequency in Hz, level over the others in dB, how many lines the row
// stands for, log odds by the table that it was built with, then the measure of each rule in its
// order. Of lines that this table is sure are programme one in 32 is printed and stands for all of
// them.
#include <array>
#include <cstdio>
#include <exception>
#include <vector>

#include "detector/rules.h"
#include "detector/scales.h"
#include "io/sound_file.h"

namespace {

using namespace brink;

constexpr int kLookEvery = 2;   // hops, as often as is needed to see every line once
constexpr float kSure = -2.5F;  // log odds
constexpr float kEasyShare = 32.0F;

void print_lines(const char* path, float file_number) {
  io::SoundReader reader{path};
  const double rate = reader.sample_rate_hz();
  detector::Scales scales{rate};
  detector::Surroundings surroundings;
  std::vector<float> hop;
  std::vector<float> row;
  std::int64_t heard = 0;
  int hops = 0;
  int easy = 0;
  const auto hop_samples = static_cast<std::size_t>(scales.hop_samples());
  while (reader.next_block()) {
    for (const float sample : reader.channel(0)) {
      hop.push_back(sample);
      if (hop.size() < hop_samples) {
        continue;
      }
      scales.advance(hop);
      hop.clear();
      heard += scales.hop_samples();
      surroundings.gather(scales.all());
      if (++hops % kLookEvery != 0) {
        continue;
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
                       static_cast<float>(static_cast<double>(heard) / rate),
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
    }
  }
}

}  // namespace

int main(int argc, char** argv) {
  try {
    for (int i = 1; i < argc; ++i) {
      print_lines(argv[i], static_cast<float>(i - 1));
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "brink_lines: %s\n", error.what());
    return 2;
  }
  return 0;
}
