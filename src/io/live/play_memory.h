#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <span>

#include "io/live/shared_memory.h"

namespace brink::io {

/// Highest peak of anything that is played, whatever is asked for.
inline constexpr double kPlayCeilingDbfs = -12.0;
/// Time from silence to the wanted level; the amplitude rises in a straight line.
inline constexpr double kPlayRampUpS = 0.3;
/// Time from the full level to silence, at a stop or before the end.
inline constexpr double kPlayRampDownS = 0.008;

enum class PlayPhase : std::uint32_t { kStarting, kRunning, kRefused };

/// What the play child and its parent share. It is at the start of the shared memory; the samples
/// follow. The parent writes what it asks for, the child writes the rest. Members that are not
/// atomic are written before the child starts, or before `phase` leaves kStarting.
struct PlayHeader {
  double sample_rate_hz = 0.0;
  std::uint64_t sample_count = 0;
  std::array<char, 256> output{};  ///< as Player takes it
  std::uint32_t channel = 0;

  std::atomic<bool> is_wanted{false};  ///< whether it shall play
  /// Number of times it was asked to play; a new one starts again.
  std::atomic<std::uint64_t> plays{0};
  std::atomic<std::uint64_t> from_sample{0};  ///< where the newest play starts
  std::atomic<float> level_lin{0.0F};         ///< factor on the samples

  std::atomic<PlayPhase> phase{PlayPhase::kStarting};
  std::array<char, 512> sentence{};          ///< why it was refused, when `phase` is kRefused
  std::atomic<std::uint64_t> done_plays{0};  ///< the newest of `plays` that has ended
  std::atomic<std::uint64_t> position{0};    ///< the next sample to play
};

static_assert(std::atomic<PlayPhase>::is_always_lock_free &&
              std::atomic<float>::is_always_lock_free && std::atomic<bool>::is_always_lock_free);

/// Shared memory for a sound, and for the wishes about it. [any]
class PlayMemory {
 public:
  /// For the parent. Throws base::Error when there is no memory.
  PlayMemory(double sample_rate_hz, std::span<const float> samples);
  /// For the child.
  explicit PlayMemory(int descriptor);

  [[nodiscard]] int descriptor() const noexcept { return memory_.descriptor(); }

  [[nodiscard]] PlayHeader& header() const noexcept { return *header_; }

  [[nodiscard]] std::span<const float> samples() const noexcept;

 private:
  SharedMemory memory_;
  PlayHeader* header_;
};

}  // namespace brink::io
