#include "desk/sweep/live_sweep_way.h"

#include <algorithm>

#include "base/error.h"
#include "io/process.h"

namespace brink::desk {
namespace {

io::CaptureConfig capture_config(const LiveSweepOptions& options) {
  if (options.channel == options.reference_channel) {
    throw base::Error(
        "the microphone and the reference are one channel; the reference is what is sent.");
  }
  io::CaptureConfig config;
  config.input = options.input;
  config.taps = {options.channel};
  if (options.reference_channel > 0) {
    config.taps.push_back(options.reference_channel);
    std::sort(config.taps.begin(), config.taps.end());
  }
  return config;
}

loop::SweepSignal at_rate(loop::SweepSignal signal, double sample_rate_hz) {
  signal.sweep.sample_rate_hz = sample_rate_hz;
  return signal;
}

void pick(std::span<const float> all, std::size_t tap, std::size_t taps, std::vector<float>& one) {
  one.clear();
  for (std::size_t n = tap; n < all.size(); n += taps) {
    one.push_back(all[n]);
  }
}

}  // namespace

LiveSweepWay::LiveSweepWay(const LiveSweepOptions& options)
    : channel_(options.channel),
      reference_channel_(options.reference_channel),
      capture_(capture_config(options)),
      signal_(at_rate(options.signal, capture_.sample_rate_hz())),
      player_(signal_.sweep.sample_rate_hz,
              loop::sweep_signal(signal_),
              io::this_program(),
              io::PlayOutput{.name = options.output, .channel = options.output_channel}) {}

SweepWay::State LiveSweepWay::state() {
  switch (player_.state()) {
    case io::Player::State::kFailed:
      throw base::Error(player_.why());
    case io::Player::State::kStarting:
      return State::kStarting;
    case io::Player::State::kPlaying:
      return State::kPlaying;
    default:
      return State::kSilent;
  }
}

void LiveSweepWay::play(double level_dbfs) {
  player_.set_level_db(level_dbfs);
  player_.play();
}

std::size_t LiveSweepWay::tap_of(int channel) const noexcept {
  const auto& taps = capture_.taps();
  return static_cast<std::size_t>(std::find(taps.begin(), taps.end(), channel) - taps.begin());
}

SweepWay::Heard LiveSweepWay::read() {
  const std::size_t taps = capture_.taps().size();
  const io::SourceReading reading = capture_.read(block_);
  if (reading.health != io::InputHealth::kRunning) {
    throw base::Error("the input went away; nothing was measured.");
  }
  const auto all = std::span<const float>(block_).first(reading.samples * taps);
  pick(all, tap_of(channel_), taps, microphone_);
  if (reference_channel_ > 0) {
    pick(all, tap_of(reference_channel_), taps, reference_);
  }
  return {microphone_, reference_, reading.lost_samples > 0 || reading.gap_reports > 0};
}

}  // namespace brink::desk
