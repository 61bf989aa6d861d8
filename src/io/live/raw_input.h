#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/source.h"
#include "io/waiting.h"

namespace brink::io {

/// Samples without a header: little-endian, channels interleaved. Floats have full scale +-1. Whole
/// numbers are two's complement with full scale at 2^(bits-1).
enum class RawFormat : std::uint8_t { kFloat32, kInt16, kInt24, kInt32 };

/// "f32", "s16", "s24" (three bytes), "s32".
[[nodiscard]] std::optional<RawFormat> to_raw_format(std::string_view word) noexcept;
[[nodiscard]] std::size_t bytes_of(RawFormat format) noexcept;
/// One sample from its bytes. A whole number gives exactly the float that a sound file with it
/// gives.
[[nodiscard]] float decode(RawFormat format, const unsigned char* bytes) noexcept;

struct RawInputConfig {
  double sample_rate_hz = 0.0;  ///< 8000 to 192000
  int channels = 1;             ///< channels in the stream, 1 to 64
  std::vector<int> taps;        ///< channels to hand over; each from 1, rising; empty: all
  RawFormat format = RawFormat::kFloat32;
};

/// Raw samples from a descriptor, for instance a pipe, as fast as they come. The writer waits when
/// the reader is busy, so no sample is lost. [analysis]
class RawInput final : public Source {
 public:
  /// Does not own `descriptor`. Throws base::Error when the config is out of range.
  RawInput(int descriptor, std::string name, RawInputConfig config);

  [[nodiscard]] const std::string& name() const noexcept override { return name_; }

  [[nodiscard]] double sample_rate_hz() const noexcept override { return config_.sample_rate_hz; }

  [[nodiscard]] const std::vector<int>& taps() const noexcept override { return config_.taps; }

  [[nodiscard]] bool is_live() const noexcept override { return false; }

  /// Ends at end-of-file or when reading fails. Bytes of an incomplete sample at the end are left.
  [[nodiscard]] SourceReading read(std::span<float> samples) override;

  /// Bytes at the end that are not a whole sample of all channels.
  [[nodiscard]] std::size_t left_over_bytes() const noexcept { return byte_count_; }

 private:
  [[nodiscard]] bool fill(std::size_t wanted_bytes);

  WaitedInput input_;
  std::string name_;
  RawInputConfig config_;
  std::vector<unsigned char> bytes_;
  std::size_t byte_count_ = 0;  // bytes in bytes_ that wait
};

}  // namespace brink::io
