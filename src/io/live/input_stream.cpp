#include "io/live/input_stream.h"

#include <fmt/format.h>

#include "base/error.h"
#include "io/sound_file.h"

namespace brink::io {

using base::Error;

double wanted_rate_hz(const CaptureRequest& request, const InputDevice& input) {
  const double rate_hz =
      request.sample_rate_hz > 0.0 ? request.sample_rate_hz : input.default_rate_hz;
  if (!(rate_hz >= kLowestRateHz && rate_hz <= kHighestRateHz)) {
    throw Error(fmt::format("{}: a rate of {:g} Hz, and brink takes {:.0f} to {:.0f} Hz.",
                            input.label(),
                            rate_hz,
                            kLowestRateHz,
                            kHighestRateHz));
  }
  return rate_hz;
}

void check_channels(const CaptureRequest& request, const InputDevice& input) {
  const int channels = static_cast<int>(request.channel_count);
  if (channels > input.channels) {
    throw Error(fmt::format("{}: it has {} channel{}, and channel {} was asked for.",
                            input.label(),
                            input.channels,
                            input.channels == 1 ? "" : "s",
                            channels));
  }
}

}  // namespace brink::io
