#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "io/process.h"
#include "io/source.h"

namespace brink::io {

struct CaptureConfig {
  std::string input;            ///< as for find_input(); empty: the default input
  std::vector<int> taps{1};     ///< the channels to listen to; each from 1, rising
  int channels = 0;             ///< channels to open on the device; 0: up to the highest tap
  double sample_rate_hz = 0.0;  ///< 8000 to 192000; 0: the input's own rate
  std::string program = this_program();  ///< program to run with kCaptureChildCommand to capture
};

/// Sound from a device, captured in a child process. When a sound server dies, its libraries hang
/// in every call that could end the stream, and only ending the process helps. The child copies
/// samples into a ring buffer in shared memory, and this class takes them out. When the input
/// vanishes or freezes, it is looked for about twice a second until it is back.
///
/// Only the constructor waits for the device. [analysis]
class Capture final : public Source {
 public:
  /// Returns when sound can come. Throws base::Error with one sentence when the input is not there,
  /// when it does not have these channels or this rate, or when it does not answer within 8 s.
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

  /// Samples that came before a loss are handed over first. Then the loss is reported.
  [[nodiscard]] SourceReading read(std::span<float> samples) override;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::io
