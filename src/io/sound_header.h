#pragma once

#include <cstdint>

namespace brink::io {

enum class SoundContainer : std::uint8_t { kUnknown, kWav, kW64, kAiff, kCaf, kFlac, kOgg };

/// Stands for a number that the header does not state.
inline constexpr std::int64_t kNotStated = -1;

/// What the first chunks of a sound file claim. No size is trusted: each is limited to the bytes
/// that are there. With it brink can refuse a file clearly, and can tell that a file was cut short.
/// The sound library would repair such a file without saying so.
struct SoundHeader {
  SoundContainer container = SoundContainer::kUnknown;
  std::int64_t format_tag = kNotStated;  ///< of a WAV; RFC 2361
  std::int64_t channels = kNotStated;
  double sample_rate_hz = static_cast<double>(kNotStated);
  std::int64_t promised_bytes = kNotStated;  ///< of sample data; kNotStated for FLAC and Ogg
  std::int64_t present_bytes = 0;            ///< of sample data in the file
  bool is_cut_short = false;                 ///< an Ogg that ends before its stream does
};

/// Reads the header of the open file `descriptor`, which has `file_bytes` bytes. It does not move
/// the file position and never fails: what cannot be read is not stated. Sources: RIFF/WAVE
/// (Microsoft and IBM, 1991), RF64 (EBU Tech 3306), AIFF 1.3 (1989), FLAC (RFC 9639, section 8.2),
/// Ogg (RFC 3533, section 6); Wave64 and CAF 1.0 from memory, checked against files of the sound
/// library.
[[nodiscard]] SoundHeader read_sound_header(int descriptor, std::int64_t file_bytes) noexcept;

}  // namespace brink::io
