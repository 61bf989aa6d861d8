#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "io/live/child_process.h"
#include "io/source.h"

namespace brink::io {

struct CaptureConfig {
  std::string input;                   ///< as find_input() takes it; empty: the default one
  std::vector<int> taps{1};            ///< the channels to listen to, each from 1, rising
  int channels = 0;                    ///< to open on the device; 0: up to the highest tap
  double sample_rate_hz = 0.0;         ///< 8000 to 192000; 0: the input's own
  std::string program = kThisProgram;  ///< what is run with kCaptureChildCommand to capture
};

/// Sound from any device, in a child process of its own: when a sound server dies, the libraries
/// that reach it hang in every call that could end the stream, and only ending the process helps.
/// The child copies samples into a ring in shared memory; here they are taken out. When the input
/// vanishes or freezes it is looked for again, about twice a second, until it is back.
///
/// Only the constructor waits for the device. [analysis]
class Capture final : public Source {
 public:
  /// Returns when sound can come. Throws base::Error with one sentence when the input is not there,
  /// does not have these channels or this rate, or does not answer within 8 s.
  explicit Capture(const CaptureConfig& config);
  ~Capture() override;
  Capture(const Capture&) = delete;
  Capture& operator=(const Capture&) = delete;
  Capture(Capture&&) = delete;
  Capture& operator=(Capture&&) = delete;

  [[nodiscard]] const std::string& name() const noexcept override;
  [[nodiscard]] double sample_rate_hz() const noexcept override;
  [[nodiscard]] const std::vector<int>& taps() const noexcept override;

  [[nodiscard]] bool is_live() const noexcept override { return true; }

  /// Samples that came before the input was lost are handed over before it is said to be lost.
  [[nodiscard]] SourceReading read(std::span<float> samples) override;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::io
