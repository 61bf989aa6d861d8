#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

namespace brink::taps {

/// What a tap is on the console.
enum class TapRole : std::uint8_t {
  kMicrophone,  ///< one microphone's channel, after its fader
  kOutput,      ///< what is sent to a loudspeaker
};

struct TapInfo {
  int channel = 1;  ///< number of the channel, from 1
  TapRole role = TapRole::kMicrophone;
};

/// A ring on one microphone's tap.
struct TapPart {
  int channel = 0;  ///< number of the channel, from 1
  /// By how many dB the ring's loop gain would change if this channel alone were raised by a small
  /// 1 dB, as far as the taps tell. All microphones together have 1. Negative: it holds the ring
  /// back.
  float share = 0.0F;
  float level_dbfs = 0.0F;  ///< of the ring there; a full-scale sine reads 0
};

/// How much of a ring is in which microphone: the largest shares, the largest first. Empty with one
/// tap. A plain value of fixed size.
struct RingShares {
  static constexpr std::size_t kMost = 8;
  /// A part below this is not worth a word.
  static constexpr float kWorthSaying = 0.1F;

  std::array<TapPart, kMost> parts{};
  std::uint8_t count = 0;
  /// The output's taps are known, so that the shares count who is sent where.
  bool knows_sends = false;
  /// Channel of the output's tap that carries most of the ring; only with knows_sends.
  int output = 0;
  float output_share = 0.0F;  ///< of it, among all outputs

  [[nodiscard]] std::span<const TapPart> all() const noexcept {
    return std::span(parts).first(count);
  }
};

}  // namespace brink::taps
