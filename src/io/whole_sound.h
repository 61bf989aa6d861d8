#pragma once

#include <span>
#include <string>
#include <vector>

#include "io/whole_file.h"

namespace brink::io {

/// One channel of sound, complete.
struct Sound {
  double sample_rate_hz = 0.0;
  std::vector<float> samples;
};

/// Reads the first channel of a recording. Throws base::Error when it cannot be read, is empty, or
/// is longer than `longest_s`.
[[nodiscard]] Sound read_sound(const std::string& path, double longest_s);

/// Puts channels, all equally long, into `file`: FLAC of 16 bit or WAV of 24 bit, by its extension.
/// The caller commits it. `comment`: as io::SoundWriter takes it. Throws base::Error.
void write_sound(io::WholeFile& file,
                 double sample_rate_hz,
                 std::span<const std::span<const float>> channels,
                 const std::string& comment = {});
/// The same for a single channel.
void write_sound(io::WholeFile& file,
                 double sample_rate_hz,
                 const std::vector<float>& samples,
                 const std::string& comment = {});

/// The comment in the header of what `brink stage` renders, by which it knows it again.
inline constexpr const char* kStageComment = "rendered by brink stage";

}  // namespace brink::io
