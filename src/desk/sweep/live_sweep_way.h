#pragma once

#include <string>
#include <vector>

#include "desk/sweep/sweep_way.h"
#include "io/live/capture.h"
#include "io/live/player.h"

namespace brink::desk {

struct LiveSweepOptions {
  std::string output;         ///< as io::PlayOutput takes it
  int output_channel = 0;     ///< 0: the first two alike
  std::string input;          ///< as io::CaptureConfig takes it
  int channel = 1;            ///< the microphone's
  int reference_channel = 0;  ///< what is sent, recorded beside it; 0: none
  loop::SweepSignal signal;   ///< its rate becomes the input's
};

/// A real output and a real microphone.
class LiveSweepWay final : public SweepWay {
 public:
  /// Waits for the input, at most 8 s. Throws base::Error when it cannot be opened, or when
  /// microphone and reference are one channel.
  explicit LiveSweepWay(const LiveSweepOptions& options);

  [[nodiscard]] const loop::SweepSignal& signal() const noexcept override { return signal_; }

  [[nodiscard]] State state() override;
  void play(double level_dbfs) override;

  void stop() noexcept override { player_.stop(); }

  [[nodiscard]] Heard read() override;

  [[nodiscard]] std::optional<double> latency_s() const noexcept override { return std::nullopt; }

 private:
  std::size_t tap_of(int channel) const noexcept;

  int channel_;
  int reference_channel_;
  io::Capture capture_;
  loop::SweepSignal signal_;
  io::Player player_;
  std::vector<float> block_ = std::vector<float>(16384);
  std::vector<float> microphone_;
  std::vector<float> reference_;
};

}  // namespace brink::desk
