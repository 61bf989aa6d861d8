#pragma once

#include <cstdint>

namespace brink::io {

enum class SoundContainer : std::uint8_t { kUnknown, kWav, kAiff, kFlac };

/// Where a header says nothing.
inline constexpr std::int64_t kNotStated = -1;

/// What the first chunks of a sound file claim, read without trust: every size is bounded by the
/// bytes that are there. It makes clear refusals and tells a file that was cut short, which the
/// sound library repairs in silence.
struct SoundHeader {
  SoundContainer container = SoundContainer::kUnknown;
  std::int64_t channels = kNotStated;
  double sample_rate_hz = static_cast<double>(kNotStated);
  std::int64_t promised_bytes = kNotStated;  ///< of sample data; kNotStated for FLAC
  std::int64_t present_bytes = 0;            ///< of sample data, as far as the file goes
};

/// Reads the header of the open file `descriptor` of `file_bytes` bytes; moves no file position and
/// never fails: what cannot be read is not stated. Sources: RIFF/WAVE (Microsoft and IBM, 1991),
/// RF64 (EBU Tech 3306), AIFF 1.3 (1989), FLAC (RFC 9639, section 8.2).
[[nodiscard]] SoundHeader read_sound_header(int descriptor, std::int64_t file_bytes) noexcept;

}  // namespace brink::io
