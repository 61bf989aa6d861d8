#include "support/sound_kinds.h"

#include <sndfile.h>

#include <array>
#include <stdexcept>

namespace brink::tests {
namespace {

constexpr std::array kKinds{
    SoundKind{"a.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16, false},
    SoundKind{"a.rf64", SF_FORMAT_RF64 | SF_FORMAT_PCM_16, false},
    SoundKind{"a.w64", SF_FORMAT_W64 | SF_FORMAT_PCM_24, false},
    SoundKind{"a.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, false},
    SoundKind{"a.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_16, false},
    SoundKind{"a.caf", SF_FORMAT_CAF | SF_FORMAT_FLOAT, false},
    SoundKind{"a.ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS, true},
    SoundKind{"a.opus", SF_FORMAT_OGG | SF_FORMAT_OPUS, true},
};

}  // namespace

std::span<const SoundKind> sound_kinds() {
  return kKinds;
}

void write_sound_kind(const std::string& path,
                      const SoundKind& kind,
                      int channels,
                      std::span<const float> samples) {
  SF_INFO info{};
  info.samplerate = 48000;
  info.channels = channels;
  info.format = kind.format;
  SNDFILE* const file = sf_open(path.c_str(), SFM_WRITE, &info);
  if (file == nullptr) {
    throw std::runtime_error(path + ": cannot be written");
  }
  const auto count = static_cast<sf_count_t>(samples.size());
  const bool is_whole = sf_write_float(file, samples.data(), count) == count;
  if (sf_close(file) != 0 || !is_whole) {
    throw std::runtime_error(path + ": was not written whole");
  }
}

}  // namespace brink::tests
