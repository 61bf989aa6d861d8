#pragma once

#include <complex>
#include <string_view>
#include <vector>

#include "cuts/loop_gain.h"
#include "loop/open_loop.h"

namespace brink::report {

/// A loop's gain on an even grid, as the planner of cuts takes it.
struct EvenGain {
  double step_hz = 0.0;
  std::vector<std::complex<double>> gain;  ///< from step_hz on

  [[nodiscard]] cuts::LoopGain loop() const noexcept { return {step_hz, step_hz, gain}; }
};

/// No ring is to be feared beyond this.
inline constexpr double kHighestLoopHz = 16000.0;

/// A loop's response, thinned to what planning needs: twice as fine as one over the length of the
/// impulse response, up to kHighestLoopHz.
[[nodiscard]] EvenGain to_even_gain(const loop::LoopResponse& response);

/// The same from text: one line for each frequency, "frequency_hz, gain_db, phase_deg" apart by
/// commas, blanks or tabs, rising by even steps (to two decimals or more); lines that begin with #
/// or a letter are passed over. Gain is that of the open loop: 0 dB is the brink. `name` stands for
/// the text in messages. Throws base::Error that names the line.
[[nodiscard]] EvenGain parse_loop_gain(std::string_view text, const std::string& name);

}  // namespace brink::report
