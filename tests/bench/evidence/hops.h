#pragma once

#include <cstdint>
#include <cstdio>
#include <exception>
#include <vector>

#include "detector/scales.h"
#include "io/sound_file.h"

namespace brink::bench {

/// Calls `on_hop(scales, time_s)` after each hop of a mono recording. Throws base::Error when it
/// cannot be read.
template <typename OnHop>
void for_each_hop(const char* path, const OnHop& on_hop) {
  io::SoundReader reader{path};
  const double rate = reader.sample_rate_hz();
  detector::Scales scales{rate};
  const auto hop_samples = static_cast<std::size_t>(scales.hop_samples());
  std::vector<float> hop;
  std::int64_t heard = 0;
  while (reader.next_block()) {
    for (const float sample : reader.channel(0)) {
      hop.push_back(sample);
      if (hop.size() < hop_samples) {
        continue;
      }
      scales.advance(hop);
      hop.clear();
      heard += scales.hop_samples();
      on_hop(scales, static_cast<double>(heard) / rate);
    }
  }
}

/// Calls `print_file(path, number)` for each file of a command line; the program's exit status.
template <typename PrintFile>
int for_each_file(const char* program, int argc, char** argv, const PrintFile& print_file) {
  try {
    for (int i = 1; i < argc; ++i) {
      print_file(argv[i], static_cast<float>(i - 1));
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s: %s\n", program, error.what());
    return 2;
  }
  return 0;
}

}  // namespace brink::bench
