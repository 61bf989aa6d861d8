#include "desk/sweep/sweep_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

#include "base/error.h"

namespace brink::desk {
namespace {

/// For the devices' own delay, after all is played.
constexpr double kAfterS = 0.7;
/// A loss is told up to so much later (io/live/late_cycles.h). One from before the sweep must not
/// be taken for one of the sweep; opening a device often costs samples.
constexpr double kCalmS = 0.5;
/// A way that keeps losing samples is swept after this all the same: then the sweep says so.
constexpr double kMostWaitS = 3.0;

}  // namespace

loop::MeasuredLoop measure(const SweepTake& take) {
  const std::optional<double> latency_s =
      take.reference.empty() ? take.latency_s
                             : std::optional(loop::find_latency_s(take.reference, take.signal));
  return loop::measure_loop(take.heard, take.signal, latency_s);
}

SweepRun::SweepRun(SweepWay& way)
    : way_(way),
      detector_(detector::DetectorConfig{.sample_rate_hz = way.signal().sweep.sample_rate_hz}) {}

std::size_t SweepRun::samples_in(double length_s) const noexcept {
  return static_cast<std::size_t>(length_s * way_.signal().sweep.sample_rate_hz);
}

bool SweepRun::is_calm() const noexcept {
  return calm_samples_ >= samples_in(kCalmS);
}

void SweepRun::hear() {
  const SweepWay::Heard heard = way_.read();
  const bool is_recording = phase_ == Phase::kPlaying || phase_ == Phase::kDecaying;
  if (is_recording && heard.has_lost_samples) {
    throw base::Error("samples were lost on the way in; close other programs and measure again.");
  }
  calm_samples_ = heard.has_lost_samples ? 0 : calm_samples_ + heard.microphone.size();
  restless_samples_ = is_calm() ? 0 : restless_samples_ + heard.microphone.size();
  detector_.push(heard.microphone, alarm_);
  if (alarm_.frequency_hz > 0.0) {
    const double frequency_hz = std::exchange(alarm_.frequency_hz, 0.0);
    throw base::Error(
        fmt::format("something rings at {:.0f} Hz: the microphone still reaches the loudspeaker. "
                    "Shut its way to this output and measure again.",
                    frequency_hz));
  }
  if (is_recording) {
    take_.heard.insert(take_.heard.end(), heard.microphone.begin(), heard.microphone.end());
    take_.reference.insert(take_.reference.end(), heard.reference.begin(), heard.reference.end());
  }
}

SweepRun::Phase SweepRun::step() {
  const SweepWay::State state = way_.state();
  try {
    hear();
  } catch (const base::Error&) {
    stop();
    throw;
  }
  if (phase_ == Phase::kStarting || phase_ == Phase::kReady) {
    const bool is_ready = is_calm() || restless_samples_ >= samples_in(kMostWaitS);
    phase_ = state != SweepWay::State::kStarting && is_ready ? Phase::kReady : Phase::kStarting;
  }
  if (phase_ == Phase::kPlaying && state == SweepWay::State::kSilent) {
    phase_ = Phase::kDecaying;
    const std::size_t least = samples_in(take_.signal.length_s());
    end_ = std::max(least, take_.heard.size()) + (way_.latency_s() ? 0 : samples_in(kAfterS));
  }
  if (phase_ == Phase::kDecaying && take_.heard.size() >= end_) {
    phase_ = Phase::kDone;
  }
  return phase_;
}

void SweepRun::begin(double level_dbfs) {
  take_ = {};
  take_.signal = way_.signal();
  take_.level_dbfs = level_dbfs;
  take_.latency_s = way_.latency_s();
  way_.play(level_dbfs);
  phase_ = Phase::kPlaying;
}

void SweepRun::stop() noexcept {
  way_.stop();
  if (phase_ != Phase::kStarting) {
    phase_ = Phase::kReady;
  }
}

double SweepRun::progress() const noexcept {
  const double whole = way_.signal().length_s() * way_.signal().sweep.sample_rate_hz;
  switch (phase_) {
    case Phase::kPlaying:
      return std::min(1.0, static_cast<double>(take_.heard.size()) / whole);
    case Phase::kDecaying:
    case Phase::kDone:
      return 1.0;
    default:
      return 0.0;
  }
}

SweepTake SweepRun::take() {
  phase_ = Phase::kReady;
  return std::move(take_);
}

}  // namespace brink::desk
