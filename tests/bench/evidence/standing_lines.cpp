// standing_lines FILE...   What the rule of standing lines sees, for fitting its numbers: every
// line that stands in mono recordings, one row of 32-bit floats on stdout for each: file (0, 1,
// ...), time in s, frequency in Hz, the measures in the order of standing_measure_names(), 1 where
// the long window has a line and 0 elsewhere, and its measures in the order of
// long_measure_names().
#include <cstdio>
#include <vector>

#include "detector/standing.h"
#include "evidence/hops.h"

namespace {

using namespace brink;

constexpr int kLookEvery = 9;  // hops: a line stands for a hundred and more, so its rows are alike

void print_line(const detector::StandingLine& line, std::vector<float> row) {
  row.insert(row.end(), line.measures.begin(), line.measures.end());
  const detector::LongLine seen = line.long_line.value_or(detector::LongLine{});
  row.push_back(line.long_line ? 1.0F : 0.0F);
  row.insert(row.end(), seen.measures.begin(), seen.measures.end());
  std::fwrite(row.data(), sizeof(float), row.size(), stdout);
}

void print_lines(const char* path, float file_number) {
  detector::Standing standing;
  int hops = 0;
  bench::for_each_hop(path, [&](detector::Scales& scales, double time_s) {
    standing.gather(scales);
    if (++hops % kLookEvery != 0) {
      return;
    }
    for (const detector::Scale& scale : scales.all()) {
      for (const detector::Track* track : scale.tracks.live()) {
        if (const auto line = standing.line_of(scale, *track)) {
          print_line(*line, {file_number, static_cast<float>(time_s), track->frequency_hz});
        }
      }
    }
  });
}

}  // namespace

int main(int argc, char** argv) {
  return bench::for_each_file("standing_lines", argc, argv, print_lines);
}
