// standing_lines FILE...   What the rule of standing lines sees, for fitting its numbers: every
// line that stands in mono recordings, one row of 32-bit floats on stdout for each: file (0, 1,
// ...), time in s, frequency in Hz, then the measures in the order of kStandingMeasureNames.
#include <cstdio>
#include <exception>
#include <vector>

#include "detector/scales.h"
#include "detector/standing.h"
#include "io/sound_file.h"

namespace {

using namespace brink;

constexpr int kLookEvery = 9;  // hops: a line stands for a hundred and more, so its rows are alike

void print_lines(const char* path, float file_number) {
  io::SoundReader reader{path};
  const double rate = reader.sample_rate_hz();
  detector::Scales scales{rate};
  detector::Standing standing;
  std::vector<float> hop;
  std::vector<float> row;
  std::int64_t heard = 0;
  int hops = 0;
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
      standing.gather(scales.all());
      if (++hops % kLookEvery != 0) {
        continue;
      }
      for (const detector::Scale& scale : scales.all()) {
        for (const detector::Track* track : scale.tracks.live()) {
          if (const auto line = standing.line_of(scale, *track)) {
            row = {file_number,
                   static_cast<float>(static_cast<double>(heard) / rate),
                   track->frequency_hz};
            row.insert(row.end(), line->measures.begin(), line->measures.end());
            std::fwrite(row.data(), sizeof(float), row.size(), stdout);
          }
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
    std::fprintf(stderr, "standing_lines: %s\n", error.what());
    return 2;
  }
  return 0;
}
