#pragma once

#include <string>
#include <vector>

namespace brink::io {

/// One channel of sound, whole.
struct Sound {
  double sample_rate_hz = 0.0;
  std::vector<float> samples;
};

/// Reads the first channel of a recording, at most `longest_s` of it. Throws base::Error when it
/// cannot be read, holds nothing or is longer.
[[nodiscard]] Sound read_sound(const std::string& path, double longest_s);

/// Writes one channel: FLAC of 16 bit or WAV of 24 bit, by the extension. Throws base::Error.
void write_sound(const std::string& path, double sample_rate_hz, const std::vector<float>& samples);

}  // namespace brink::io
