#pragma once

#include <span>
#include <string>

namespace brink::tests {

/// A kind of sound file that others write.
struct SoundKind {
  const char* name;  ///< of a file of that kind
  int format;        ///< the sound library's number for it
  bool is_coded;     ///< what is read is not quite what was written
};

[[nodiscard]] std::span<const SoundKind> sound_kinds();

/// Writes a file of that kind by the sound library itself, 48 kHz, `channels` interleaved in
/// `samples`. Throws std::runtime_error when it cannot.
void write_sound_kind(const std::string& path,
                      const SoundKind& kind,
                      int channels,
                      std::span<const float> samples);

}  // namespace brink::tests
