#pragma once

#include <string>
#include <vector>

namespace brink::io {

/// One channel of sound, complete.
struct Sound {
  double sample_rate_hz = 0.0;
  std::vector<float> samples;
};

/// Reads the first channel of a recording. Throws base::Error when it cannot be read, is empty, or
/// is longer than `longest_s`.
[[nodiscard]] Sound read_sound(const std::string& path, double longest_s);

/// Writes one channel, by the extension: FLAC with 16 bits or WAV with 24 bits. Throws base::Error
/// when it cannot be written.
void write_sound(const std::string& path, double sample_rate_hz, const std::vector<float>& samples);

}  // namespace brink::io
