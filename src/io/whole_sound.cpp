#include "io/whole_sound.h"

#include <fmt/format.h>

#include <cstdint>

#include "base/error.h"
#include "base/printable.h"
#include "io/sound_file.h"

namespace brink::io {

Sound read_sound(const std::string& path, double longest_s) {
  io::SoundReader reader{path};
  Sound sound;
  sound.sample_rate_hz = reader.sample_rate_hz();
  const auto most = static_cast<std::size_t>(longest_s * sound.sample_rate_hz);
  while (reader.next_block()) {
    const std::span<const float> block = reader.channel(0);
    sound.samples.insert(sound.samples.end(), block.begin(), block.end());
    if (sound.samples.size() > most) {
      throw base::Error{
          fmt::format("{}: longer than the {:g} s that a stage takes; cut it shorter.",
                      base::printable(path),
                      longest_s)};
    }
  }
  if (sound.samples.empty()) {
    throw base::Error{fmt::format("{}: holds no samples.", base::printable(path))};
  }
  return sound;
}

void write_sound(io::WholeFile& file,
                 double sample_rate_hz,
                 std::span<const std::span<const float>> channels,
                 const std::string& comment) {
  const std::string& path = file.path();
  const bool is_flac = path.size() >= 5 && path.substr(path.size() - 5) == ".flac";
  io::SoundWriter writer{file,
                         sample_rate_hz,
                         static_cast<int>(channels.size()),
                         is_flac ? io::SampleFormat::kInt16 : io::SampleFormat::kInt24,
                         comment};
  writer.write(channels);
  writer.close();
}

void write_sound(io::WholeFile& file,
                 double sample_rate_hz,
                 const std::vector<float>& samples,
                 const std::string& comment) {
  const std::span<const float> channel{samples};
  write_sound(file, sample_rate_hz, std::span(&channel, 1), comment);
}

}  // namespace brink::io
