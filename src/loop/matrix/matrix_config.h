#pragma once

#include <cstddef>
#include <vector>

#include "base/biquad.h"
#include "loop/plan.h"

namespace brink::loop {

/// A microphone's channel on the console.
struct MatrixChannel {
  double gain_db = 0.0;  ///< preamplifier and fader, -100 to 60
  bool is_inverted = false;
  std::vector<base::Biquad> sections;  ///< the channel's own equaliser
  std::vector<double> send_lin;        ///< one for each output; 0: not sent there
};

struct MatrixOutput {
  std::vector<base::Biquad> sections;  ///< the output's equaliser
};

/// Several microphones and several outputs in one room:
///   microphone i = programme i + sum over j of path[i][j] * u j,
///   channel i = equaliser i (gain i * microphone i),
///   u j = limit(equaliser j (plan's gain * sum over i of send[i][j] * channel i)), delayed.
struct MatrixConfig {
  static constexpr std::size_t kMostMicrophones = 32;
  static constexpr std::size_t kMostOutputs = 8;

  double sample_rate_hz = 48000.0;  ///< 8000 to 192000
  /// path[i][j]: output j to microphone i, starting when the loudspeaker moves. Empty: nothing.
  std::vector<std::vector<std::vector<double>>> path;
  std::vector<MatrixChannel> channels;  ///< 1 to kMostMicrophones
  std::vector<MatrixOutput> outputs;    ///< 1 to kMostOutputs
  double console_delay_s = 0.0015;      ///< 0 to 0.5
  double limit_dbfs = -6.0;             ///< peak limit of each amplifier, -60 to 0
  Lines gain_db;                        ///< of all outputs alike

  [[nodiscard]] std::size_t console_delay_samples() const noexcept;
};

/// Throws Error that names what is wrong.
void validate(const MatrixConfig& config);

/// Gain of a channel without its equaliser: negative when it is inverted.
[[nodiscard]] double gain_lin(const MatrixChannel& channel) noexcept;

}  // namespace brink::loop
