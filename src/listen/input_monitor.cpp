#include "listen/input_monitor.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"

namespace brink::listen {
namespace {

constexpr double kSliceS = 0.05;
constexpr std::size_t kMeterSlices = 6;   // 0.3 s, long enough to read
constexpr std::size_t kClipSlices = 20;   // 1 s
constexpr double kSilenceS = 0.5;         // the loss is to be said within a second
constexpr float kTooQuietLin = 0.00316F;  // -50 dBFS
// The largest value of a 16-bit converter, 32767/32768: on the positive side nothing reaches 1.
constexpr float kFullScaleLin = 0.99996F;

}  // namespace

InputMonitor::InputMonitor(double sample_rate_hz)
    : slice_samples_(static_cast<std::size_t>(kSliceS * sample_rate_hz)),
      silence_samples_(static_cast<std::int64_t>(kSilenceS * sample_rate_hz)) {}

void InputMonitor::push(std::span<const float> block) noexcept {
  for (const float sample : block) {
    const float size = std::isfinite(sample) ? std::abs(sample) : 0.0F;
    current_.peak_lin = std::max(current_.peak_lin, size);
    current_.power_lin += static_cast<double>(size) * static_cast<double>(size);
    zero_count_ = sample == 0.0F ? zero_count_ + 1 : 0;
    if (++current_samples_ == slice_samples_) {
      end_slice();
    }
  }
}

void InputMonitor::end_slice() noexcept {
  slices_[next_] = current_;
  next_ = (next_ + 1) % kSlices;
  ++slice_count_;
  current_ = {};
  current_samples_ = 0;
}

float InputMonitor::peak_over(std::size_t slices) const noexcept {
  float peak = current_.peak_lin;
  for (std::size_t back = 1; back <= slices; ++back) {
    peak = std::max(peak, slices_[(next_ + kSlices - back) % kSlices].peak_lin);
  }
  return peak;
}

InputLevel InputMonitor::level() const noexcept {
  double power = current_.power_lin;
  for (std::size_t back = 1; back <= kMeterSlices; ++back) {
    power += slices_[(next_ + kSlices - back) % kSlices].power_lin;
  }
  const std::size_t heard =
      std::min(kMeterSlices, slice_count_) * slice_samples_ + current_samples_;
  InputLevel level;
  level.peak_dbfs = base::amplitude_to_db(static_cast<double>(peak_over(kMeterSlices)));
  level.rms_dbfs = base::power_to_db(power / static_cast<double>(std::max<std::size_t>(1, heard)));
  level.is_clipping = peak_over(kClipSlices) >= kFullScaleLin;
  level.is_too_quiet = slice_count_ >= kSlices && peak_over(kSlices) < kTooQuietLin;
  level.is_silent = is_silent();
  return level;
}

void InputMonitor::reset() noexcept {
  slices_ = {};
  next_ = 0;
  slice_count_ = 0;
  current_ = {};
  current_samples_ = 0;
  zero_count_ = 0;
}

}  // namespace brink::listen
