#include "cli/listen/listen_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/standard_streams.h"
#include "cli/tap_list.h"
#include "io/files.h"
#include "io/live/capture.h"
#include "io/live/inputs.h"
#include "io/process.h"

namespace brink::cli {
namespace {

using base::Error;

io::RawInputConfig raw_config(const ListenOptions& options) {
  if (!options.input.empty()) {
    throw Error("--stdin and --input are two different sources; take one of them.");
  }
  if (options.rate_hz == 0.0) {
    throw Error("Samples on stdin carry no sample rate; give it with --rate.");
  }
  if (!has_stdin()) {
    throw Error("--stdin takes raw samples, and stdin is closed; give it a pipe or a file.");
  }
  if (is_terminal(io::kStdin)) {
    throw Error("--stdin takes raw samples from a pipe or a file, and stdin is a terminal.");
  }
  const std::string word = options.sample_format.empty() ? "f32" : options.sample_format;
  const std::optional<io::RawFormat> format = io::to_raw_format(word);
  if (!format) {
    throw Error(fmt::format("--sample-format takes f32, s16, s24 or s32, not '{}'.",
                            base::printable(word)));
  }
  io::RawInputConfig config;
  config.sample_rate_hz = options.rate_hz;
  config.taps = to_taps(options.taps);
  if (options.channels == 0 && !config.taps.empty() && config.taps.back() > 1) {
    throw Error(
        "Samples on stdin do not say how many channels they are; give it with --channels when a "
        "tap above 1 is listened to.");
  }
  config.channels = std::max(1, options.channels);
  config.format = *format;
  return config;
}

int usual_channels(const ListenOptions& options) {
  const std::vector<io::InputDevice> inputs = io::list_inputs(io::this_program());
  return io::find_input(inputs, options.input).usual_channels();
}

io::CaptureConfig capture_config(const ListenOptions& options) {
  if (!options.sample_format.empty()) {
    throw Error("--sample-format is for samples on stdin; a device says itself what it sends.");
  }
  io::CaptureConfig config;
  config.input = options.input;
  config.sample_rate_hz = options.rate_hz;
  config.channels = options.channels;
  config.taps = to_taps(options.taps);
  if (config.taps.empty()) {
    config.taps = first_taps(options.channels > 0 ? options.channels : usual_channels(options));
  }
  return config;
}

}  // namespace

ListenSource open_source(const ListenOptions& options) {
  if (options.is_stdin) {
    auto source = std::make_unique<io::RawInput>(io::kStdin, "stdin", raw_config(options));
    const io::RawInput* const raw = source.get();
    return {std::move(source), raw};
  }
  return {std::make_unique<io::Capture>(capture_config(options)), nullptr};
}

}  // namespace brink::cli
