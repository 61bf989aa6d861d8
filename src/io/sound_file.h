#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "io/whole_file.h"

namespace brink::io {

inline constexpr int kMostChannels = 64;
inline constexpr double kLowestRateHz = 8000.0;
inline constexpr double kHighestRateHz = 192000.0;

/// Reads a recording block by block, with each channel apart. The memory needed does not depend on
/// the length. Reads WAV (also RF64), W64, FLAC, AIFF, CAF and Ogg (Vorbis, Opus, FLAC);
/// 1 to 64 channels; 8 to 192 kHz. Full scale is
/// +-1. Values of float files stay as they are, also NaN, infinity and values above full scale.
/// Constructing throws base::Error with one sentence when the file is missing, unreadable, not a
/// regular file, empty, of another kind, or outside these ranges. [any, one at a time]
class SoundReader {
 public:
  /// Samples of each channel in a full block. The last block is shorter.
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
  /// What the file calls each channel (iXML of a WAV), empty where it does not say.
  [[nodiscard]] const std::vector<std::string>& channel_names() const noexcept;
  /// Samples of each channel that the header promises; -1 when it does not say.
  [[nodiscard]] std::int64_t promised_samples() const noexcept;
  /// Samples of each channel handed over so far, with the skipped ones.
  [[nodiscard]] std::int64_t samples_read() const noexcept;

  /// The next block begins at that sample (from 0). Returns false when the file does not allow it.
  /// Then only what was read before is good; begin again with a new reader.
  [[nodiscard]] bool skip_to(std::int64_t sample) noexcept;
  /// Goes on to the next block. Returns false at the end of what can be read.
  [[nodiscard]] bool next_block() noexcept;
  /// The present block of channel `index` (from 0). Valid until next_block() is called again.
  [[nodiscard]] std::span<const float> channel(int index) const noexcept;

  /// Call it after the last block. One sentence when the recording is shorter than its header says
  /// (cut short or damaged); empty when it is complete. What was read is good in both cases.
  [[nodiscard]] std::string shortfall() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

enum class SampleFormat : std::uint8_t { kFloat, kInt16, kInt24 };

/// Writes a recording: WAV or FLAC by the extension of the path (.wav, .flac, any case). A WAV that
/// outgrows 4 GiB becomes RF64 by itself. The same samples give the same bytes, today and tomorrow.
/// FLAC takes kInt16 and kInt24 and at most 8 channels (RFC 9639). Constructing throws base::Error
/// on what cannot be written. [any, one at a time]
class SoundWriter {
 public:
  /// A new file that grows under its own name, so that what it holds by then outlives even a killed
  /// process; see update_header(). A file that is there already is refused.
  SoundWriter(const std::string& path, double sample_rate_hz, int channels, SampleFormat format);
  /// Into `file`, which the caller commits after close() and keeps until then. `comment` goes into
  /// the header; it is what a ReplaceRule knows the file by. Empty: none.
  SoundWriter(WholeFile& file,
              double sample_rate_hz,
              int channels,
              SampleFormat format,
              const std::string& comment = {});
  /// Closes; what was written is a whole file, but errors go unseen: call close().
  ~SoundWriter();
  SoundWriter(SoundWriter&&) noexcept;
  SoundWriter& operator=(SoundWriter&&) noexcept;
  SoundWriter(const SoundWriter&) = delete;
  SoundWriter& operator=(const SoundWriter&) = delete;

  /// Appends one block: one span for each channel, all equally long. Whole-number formats clip at
  /// full scale; NaN and infinity are written as 0. Throws base::Error when the disk does not take
  /// the block or the spans do not fit.
  void write(std::span<const std::span<const float>> block);
  /// The same for a single channel.
  void write(std::span<const float> samples);

  /// Makes a whole file of what was written so far, so that it is good even if the process is
  /// killed. Only for WAV: a FLAC must be closed. Throws base::Error when the disk does not take
  /// it.
  void update_header();

  /// Finishes the header. Throws base::Error when that fails. Do not write after it.
  void close();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::io
