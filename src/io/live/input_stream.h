#pragma once

#include "io/live/capture_memory.h"
#include "io/live/inputs.h"

namespace brink::io {

/// An open input whose samples go to the shared memory. Only the capture child has one.
class InputStream {
 public:
  virtual ~InputStream() = default;
  InputStream(const InputStream&) = delete;
  InputStream& operator=(const InputStream&) = delete;
  InputStream(InputStream&&) = delete;
  InputStream& operator=(InputStream&&) = delete;

  /// False once the input is gone. Then nothing of it may be closed, since that may hang.
  [[nodiscard]] virtual bool is_active() = 0;
  [[nodiscard]] virtual double sample_rate_hz() const = 0;

  /// What has to be looked after, about every 20 ms: the joins of our ports.
  virtual void look_after(CaptureHeader& /*header*/) {}

 protected:
  InputStream() = default;
};

/// The rate to open an input at. Throws base::Error when brink does not take it.
[[nodiscard]] double wanted_rate_hz(const CaptureRequest& request, const InputDevice& input);
/// Throws base::Error when the input has fewer channels than are asked for.
void check_channels(const CaptureRequest& request, const InputDevice& input);

}  // namespace brink::io
