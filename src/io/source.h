#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace brink::io {

/// Whether a source works.
enum class InputHealth : std::uint8_t {
  kRunning,
  kVanished,  ///< the device or its server is gone
  kFrozen,    ///< the device is there, but no sound comes
};

/// The result of one read. The members are in the order in which things happened.
struct SourceReading {
  std::int64_t lost_samples = 0;  ///< of each tap, lost before `samples`
  std::size_t samples = 0;        ///< of each tap, handed over; 0 when none came
  /// How often the device said that it lost some without saying how many.
  std::int64_t gap_reports = 0;
  /// Of each tap, that came and still wait to be read; of a live source only.
  std::int64_t waiting_samples = 0;
  InputHealth health = InputHealth::kRunning;
  bool is_over = false;  ///< nothing will come any more; never true for a device
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

  /// The name to show to the user.
  [[nodiscard]] virtual const std::string& name() const noexcept = 0;
  [[nodiscard]] virtual double sample_rate_hz() const noexcept = 0;
  /// The channel number of each tap, from 1.
  [[nodiscard]] virtual const std::vector<int>& taps() const noexcept = 0;
  /// True when samples come at their own pace, so that a slow reader loses some.
  [[nodiscard]] virtual bool is_live() const noexcept = 0;

  /// Takes the samples that have come: whole samples of all taps, interleaved, as many as fit.
  /// There must be room for at least one. Waits at most kLongestWaitMs for the first.
  [[nodiscard]] virtual SourceReading read(std::span<float> samples) = 0;

  static constexpr int kLongestWaitMs = 20;

 protected:
  Source() = default;
};

}  // namespace brink::io
