#include "loop/matrix/matrix_config.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "loop/equaliser.h"
#include "loop/require.h"

namespace brink::loop {
namespace {

void require_count(std::size_t count, std::size_t most, const char* what) {
  if (count < 1 || count > most) {
    throw base::Error{fmt::format("a stage has 1 to {} {}; got {}.", most, what, count)};
  }
}

void require_sections(const std::vector<base::Biquad>& sections) {
  if (sections.size() > Equaliser::kMostSections) {
    throw base::Error{fmt::format("an equaliser in the loop has at most {} sections; got {}.",
                                  Equaliser::kMostSections,
                                  sections.size())};
  }
}

void require_paths(const MatrixConfig& config) {
  bool fits = config.path.size() == config.channels.size();
  for (const auto& row : config.path) {
    fits = fits && row.size() == config.outputs.size();
    for (const std::vector<double>& taps : row) {
      fits = fits &&
             std::all_of(taps.begin(), taps.end(), [](double tap) { return std::isfinite(tap); });
    }
  }
  if (!fits) {
    throw base::Error{
        "a stage needs a response of finite numbers from each output to each microphone."};
  }
}

}  // namespace

std::size_t MatrixConfig::console_delay_samples() const noexcept {
  return static_cast<std::size_t>(std::llround(console_delay_s * sample_rate_hz));
}

double gain_lin(const MatrixChannel& channel) noexcept {
  return (channel.is_inverted ? -1.0 : 1.0) * base::db_to_amplitude(channel.gain_db);
}

void validate(const MatrixConfig& config) {
  require(config.sample_rate_hz, 8000.0, 192000.0, "sample rate", "Hz");
  require(config.console_delay_s, 0.0, 0.5, "console delay", "s");
  require(config.limit_dbfs, -60.0, 0.0, "limit", "dBFS");
  require_count(config.channels.size(), MatrixConfig::kMostMicrophones, "microphones");
  require_count(config.outputs.size(), MatrixConfig::kMostOutputs, "outputs");
  require_paths(config);
  for (const MatrixChannel& channel : config.channels) {
    require(channel.gain_db, -100.0, 60.0, "gain of a microphone", "dB");
    require_sections(channel.sections);
    if (channel.send_lin.size() != config.outputs.size()) {
      throw base::Error{"each microphone needs one send for each output."};
    }
    for (const double send : channel.send_lin) {
      require(send, -1000.0, 1000.0, "send");
    }
  }
  for (const MatrixOutput& output : config.outputs) {
    require_sections(output.sections);
  }
}

}  // namespace brink::loop
