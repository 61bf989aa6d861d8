#pragma once

#include <algorithm>
#include <array>
#include <atomic>
#include <cstdint>
#include <string>
#include <string_view>

#include "base/ring_buffer.h"
#include "io/live/shared_memory.h"

namespace brink::io {

inline constexpr std::size_t kMostTaps = 64;
/// Bytes for the joins of the capture's ports, as lines of joins.h: 64 ports with long names.
inline constexpr std::size_t kJoinsBytes = 16384;

/// What the capture child shall capture.
struct CaptureRequest {
  std::array<char, 256> input{};    ///< name or number, as for find_input(); empty: default
  double sample_rate_hz = 0.0;      ///< 0: the input's own rate
  std::uint32_t channel_count = 0;  ///< channels to open on the device
  std::uint32_t tap_count = 0;      ///< channels to hand over, 1 to kMostTaps
  std::array<std::uint32_t, kMostTaps> channels{};  ///< of each tap, from 0, below channel_count
  bool is_again = false;   ///< an input that was open before; `input` is its InputDevice::id
  bool has_joins = false;  ///< join our ports as in `joins`, not as the sound system would
  std::array<char, kJoinsBytes> joins{};
};

enum class CapturePhase : std::uint32_t { kStarting, kRunning, kRefused };

/// A gap in the stream: `samples` of each tap were lost before the float at `position`.
struct SampleGap {
  std::uint64_t position = 0;
  std::uint64_t samples = 0;
};

/// What the capture child and its parent share. It is at the start of the shared memory; the floats
/// of the ring buffer follow. The child writes everything except `request` and the reading
/// positions. Members that are not atomic are written before `phase` leaves kStarting, and never
/// after.
// NOLINTNEXTLINE(clang-analyzer-optin.performance.Padding): a cache line for each position
struct CaptureHeader {
  CaptureRequest request;
  double sample_rate_hz = 0.0;
  std::array<char, 256> name{};      ///< label of the input that was opened
  std::array<char, 256> id{};        ///< its InputDevice::id
  std::array<char, 512> sentence{};  ///< why it was refused, when `phase` is kRefused
  std::atomic<CapturePhase> phase{CapturePhase::kStarting};
  std::atomic<bool> is_active{false};          ///< the device says that it runs
  std::atomic<bool> is_joined{true};           ///< false: what our ports were joined to has left
  std::atomic<std::uint64_t> block_count{0};   ///< shows that the device is alive
  std::atomic<std::uint64_t> lost_samples{0};  ///< samples of each tap that found no room
  std::atomic<std::uint64_t> gap_reports{0};   ///< how often the device said that it lost samples
  base::RingPositions sample_positions;
  base::RingPositions gap_positions;
  std::array<SampleGap, 64> gaps;
  std::uint64_t capacity_floats = 0;
  /// The joins at present: the text with the number `joins_count` % 2. 0: never told.
  std::array<std::array<char, kJoinsBytes>, 2> joins{};
  std::atomic<std::uint64_t> joins_count{0};
};

static_assert(std::atomic<CapturePhase>::is_always_lock_free);

/// Copies as much of `text` as fits, and ends it with a zero.
template <std::size_t kSize>
void put_text(std::array<char, kSize>& field, std::string_view text) noexcept {
  const std::size_t count = std::min(text.size(), kSize - 1);
  std::copy_n(text.begin(), count, field.begin());
  field[count] = '\0';
}

template <std::size_t kSize>
[[nodiscard]] std::string to_string(const std::array<char, kSize>& field) {
  return {field.begin(), std::find(field.begin(), field.end(), '\0')};
}

/// For the child. The text is there whole, even when the child is killed meanwhile. Joins that
/// find no room are not told.
inline void tell_joins(CaptureHeader& header, std::string_view lines) noexcept {
  const std::uint64_t count = header.joins_count.load(std::memory_order_relaxed) + 1;
  const std::size_t room = lines.substr(0, kJoinsBytes - 1).rfind('\n') + 1;  // 0 if there is none
  put_text(header.joins[count % 2], lines.substr(0, room));
  header.joins_count.store(count, std::memory_order_release);
}

/// Memory that two processes share. It is gone when both have ended. [any]
class CaptureMemory {
 public:
  /// For the parent: new memory with a ring buffer for this request. It holds more than 5 s of up
  /// to 16 taps at 192 kHz. Throws base::Error when there is no memory.
  explicit CaptureMemory(const CaptureRequest& request);
  /// For the child: the memory behind a descriptor that the parent gave it.
  explicit CaptureMemory(int descriptor);

  [[nodiscard]] int descriptor() const noexcept { return memory_.descriptor(); }

  [[nodiscard]] CaptureHeader& header() const noexcept { return *header_; }

  /// The floats of all taps, interleaved.
  [[nodiscard]] base::RingBuffer<float> samples() const noexcept;
  [[nodiscard]] base::RingBuffer<SampleGap> gaps() const noexcept;

 private:
  SharedMemory memory_;
  CaptureHeader* header_;
};

}  // namespace brink::io
