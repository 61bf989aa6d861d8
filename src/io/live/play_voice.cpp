#include "io/live/play_voice.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"

namespace brink::io {
namespace {

float step_for(double ramp_s, double rate_hz) noexcept {
  return static_cast<float>(1.0 / std::max(1.0, ramp_s * rate_hz));
}

float towards(float value, float goal, float up_step, float down_step) noexcept BRINK_NONBLOCKING {
  return value < goal ? std::min(goal, value + up_step) : std::max(goal, value - down_step);
}

}  // namespace

PlayVoice::PlayVoice(PlayHeader& header,
                     std::span<const float> samples,
                     double device_rate_hz) noexcept
    : header_(&header),
      samples_(samples),
      device_over_own_rate_(device_rate_hz / header.sample_rate_hz),
      up_step_(step_for(kPlayRampUpS, device_rate_hz)),
      down_step_(step_for(kPlayRampDownS, device_rate_hz)),
      ceiling_lin_(static_cast<float>(base::db_to_amplitude(kPlayCeilingDbfs))) {}

void PlayVoice::begin(std::uint64_t play) noexcept BRINK_NONBLOCKING {
  play_ = play;
  const auto from = static_cast<double>(header_->from_sample.load(std::memory_order_relaxed));
  at_ = std::min(samples_.size(), static_cast<std::size_t>(from * device_over_own_rate_));
  level_lin_ = header_->level_lin.load(std::memory_order_relaxed);
  ramp_ = 0.0F;
  is_sounding_ = true;
}

float PlayVoice::next(bool is_wanted, float level_lin) noexcept BRINK_NONBLOCKING {
  const std::size_t left = samples_.size() - at_;
  ramp_ = towards(ramp_, is_wanted ? 1.0F : 0.0F, up_step_, down_step_);
  level_lin_ = towards(level_lin_, level_lin, up_step_, down_step_);
  // The last samples ramp down, so that no sound ends in a click.
  const float ramp = std::min(ramp_, static_cast<float>(left) * down_step_);
  if (left == 0 || (ramp_ <= 0.0F && !is_wanted)) {
    is_sounding_ = false;
    return 0.0F;
  }
  const float sample = samples_[at_++];
  if (!std::isfinite(sample)) {
    return 0.0F;
  }
  return std::clamp(sample * level_lin_, -ceiling_lin_, ceiling_lin_) * ramp;
}

void PlayVoice::fill(float* block,
                     std::size_t sample_count,
                     std::size_t channels) noexcept BRINK_NONBLOCKING {
  const std::uint64_t asked = header_->plays.load(std::memory_order_acquire);
  const bool is_wanted = header_->is_wanted.load(std::memory_order_relaxed);
  const float level_lin = header_->level_lin.load(std::memory_order_relaxed);
  for (std::size_t n = 0; n < sample_count; ++n) {
    if (!is_sounding_ && play_ != asked && is_wanted) {
      begin(asked);
    }
    // A play that is no longer wanted ramps down before the next one begins.
    const float sample = is_sounding_ ? next(is_wanted && play_ == asked, level_lin) : 0.0F;
    std::fill_n(block + n * channels, channels, sample);
  }
  header_->position.store(
      static_cast<std::uint64_t>(static_cast<double>(at_) / device_over_own_rate_),
      std::memory_order_relaxed);
  if (!is_sounding_) {
    header_->done_plays.store(is_wanted ? play_ : asked, std::memory_order_release);
  }
}

}  // namespace brink::io
