#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace brink::io {

inline constexpr int kMostChannels = 64;
inline constexpr double kLowestRateHz = 8000.0;
inline constexpr double kHighestRateHz = 192000.0;

/// Reads a recording block by block, each channel by itself, in memory that does not depend on its
/// length. WAV (also RF64), FLAC and AIFF; 1 to 64 channels; 8 to 192 kHz. Full scale is +-1;
/// float files are handed over as they are, NaN, infinity and values beyond full scale included.
/// Constructing throws base::Error with one sentence when the file is missing, unreadable, no
/// regular file, empty, of another kind, or out of the ranges above. [any, one at a time]
class SoundReader {
 public:
  /// Samples of each channel in a full block; the last one is shorter.
  static constexpr int kBlockSamples = 4096;

  explicit SoundReader(const std::string& path);
  ~SoundReader();
  SoundReader(SoundReader&&) noexcept;
  SoundReader& operator=(SoundReader&&) noexcept;
  SoundReader(const SoundReader&) = delete;
  SoundReader& operator=(const SoundReader&) = delete;

  [[nodiscard]] const std::string& path() const noexcept;
  [[nodiscard]] double sample_rate_hz() const noexcept;
  [[nodiscard]] int channels() const noexcept;
  /// Samples of each channel as the header promises them; -1 when it does not say.
  [[nodiscard]] std::int64_t promised_samples() const noexcept;
  /// Samples of each channel handed over so far, what was skipped included.
  [[nodiscard]] std::int64_t samples_read() const noexcept;

  /// The next block begins at that sample (from 0), as far as the file allows that; false where it
  /// does not, and then only what was read already is good: begin with another reader.
  [[nodiscard]] bool skip_to(std::int64_t sample) noexcept;
  /// Goes on to the next block; false at the end of what can be read.
  [[nodiscard]] bool next_block() noexcept;
  /// The present block of channel `index` (from 0), valid until the next next_block().
  [[nodiscard]] std::span<const float> channel(int index) const noexcept;

  /// After the last block: one sentence when the recording ended before its header says (cut short
  /// or damaged), empty when all of it was there. What was read until then is good.
  [[nodiscard]] std::string shortfall() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

enum class SampleFormat : std::uint8_t { kFloat, kInt16, kInt24 };

/// Writes a recording: WAV or FLAC by the extension of `path` (.wav, .flac, any case). A WAV that
/// outgrows 4 GiB becomes RF64 by itself. The same samples give the same bytes, today and tomorrow.
/// FLAC takes kInt16 and kInt24 and at most 8 channels (RFC 9639). Constructing replaces an
/// existing file and throws base::Error on what cannot be written. [any, one at a time]
class SoundWriter {
 public:
  SoundWriter(const std::string& path, double sample_rate_hz, int channels, SampleFormat format);
  /// Closes; what was written is a whole file, but errors go unseen: call close().
  ~SoundWriter();
  SoundWriter(SoundWriter&&) noexcept;
  SoundWriter& operator=(SoundWriter&&) noexcept;
  SoundWriter(const SoundWriter&) = delete;
  SoundWriter& operator=(const SoundWriter&) = delete;

  /// Appends one block: one span per channel, all of one length. Whole-number formats clip at full
  /// scale; NaN and infinity are written as 0. Throws base::Error when the disk does not take it
  /// or the spans do not fit.
  void write(std::span<const std::span<const float>> block);
  /// The same for a single channel.
  void write(std::span<const float> samples);

  /// Makes what was written so far a whole file, so that it outlives even a killed process. WAV
  /// alone: FLAC must be closed. Throws base::Error when the disk does not take it.
  void update_header();

  /// Finishes the header. Throws base::Error when that fails. Nothing may be written after.
  void close();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::io
