#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace brink::io {

enum class InputHealth : std::uint8_t {
  kRunning,
  kVanished,  ///< the device or its server is gone
  kFrozen,    ///< it is there, and no sound comes
};

/// What one look at a source gave, in the order in which it happened.
struct SourceReading {
  std::int64_t lost_samples = 0;  ///< of each tap, lost before `samples`
  std::size_t samples = 0;        ///< of each tap, handed over; 0 when none came yet
  std::int64_t gap_reports = 0;   ///< times the device said it lost some, and not how many
  InputHealth health = InputHealth::kRunning;
  bool is_over = false;  ///< nothing will ever come any more; never of a device
};

/// Where samples come from: a device, raw samples on stdin, a file, a simulated stage. One reader
/// at a time.
class Source {
 public:
  virtual ~Source() = default;
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;
  Source(Source&&) = delete;
  Source& operator=(Source&&) = delete;

  /// As a face shows it.
  [[nodiscard]] virtual const std::string& name() const noexcept = 0;
  [[nodiscard]] virtual double sample_rate_hz() const noexcept = 0;
  /// The channel number of each tap, from 1.
  [[nodiscard]] virtual const std::vector<int>& taps() const noexcept = 0;
  /// Whether samples come at their own pace, so that a slow reader loses some.
  [[nodiscard]] virtual bool is_live() const noexcept = 0;

  /// Takes what has come, at most as many whole samples of all taps (in turn) as fit; room for one
  /// at least. Waits at most kLongestWaitMs for the first.
  [[nodiscard]] virtual SourceReading read(std::span<float> samples) = 0;

  static constexpr int kLongestWaitMs = 20;

 protected:
  Source() = default;
};

}  // namespace brink::io
