#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "loop/convolver.h"
#include "loop/equaliser.h"
#include "loop/matrix/matrix_config.h"

namespace brink::loop {

/// Where a stage of several microphones hands out its signals: at each microphone before its fader,
/// in each channel after fader and equaliser, at each output, or the channels and then the outputs.
enum class MatrixTap : std::uint8_t { kMicrophone, kChannel, kOutput, kAll };

/// The loops of a MatrixConfig, running. Programme: one span for each microphone; taps: one for
/// each microphone, output, or both, as MatrixTap says; all equally long. Samples, full
/// scale +-1. The same samples come out, bit for bit, however they are cut into blocks. A
/// non-finite programme sample counts as 0. Constructing allocates and throws Error on a bad
/// config; process does neither. [analysis]
class MatrixStage {
 public:
  explicit MatrixStage(MatrixConfig config, MatrixTap tap = MatrixTap::kChannel);

  void process(std::span<const std::span<const float>> programme,
               std::span<const std::span<float>> taps) noexcept;

  /// Of taps.
  [[nodiscard]] std::size_t tap_count() const noexcept {
    return (tap_ == MatrixTap::kOutput ? 0 : config_.channels.size()) +
           (tap_ >= MatrixTap::kOutput ? config_.outputs.size() : 0);
  }

 private:
  void hear(std::span<const std::span<const float>> programme,
            std::span<const std::span<float>> taps,
            std::size_t sample) noexcept;
  void send(std::span<const std::span<float>> taps, std::size_t sample) noexcept;

  MatrixConfig config_;
  MatrixTap tap_;
  double limit_lin_;
  std::int64_t sample_index_ = 0;
  std::vector<DelayedConvolver> convolvers_;  // one for each output
  std::vector<double> gain_lin_;              // of each channel
  std::vector<Equaliser> channel_equalisers_;
  std::vector<Equaliser> output_equalisers_;
  std::vector<double> channel_;             // this sample, after fader and equaliser
  std::vector<std::vector<double>> block_;  // of each output since the convolvers' last block
  std::size_t block_at_ = 0;
};

}  // namespace brink::loop
