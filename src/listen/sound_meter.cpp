#include "listen/sound_meter.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "base/units.h"

namespace brink::listen {
namespace {

/// A fifth of a second. Then bins are 2.5 Hz wide, narrow where the A-weighting is steep.
constexpr double kHopS = 0.2;
constexpr std::size_t kHopsPerSecond = 5;

constexpr double squared(double x) noexcept {
  return x * x;
}

}  // namespace

double a_weighting_db(double frequency_hz) noexcept {
  const auto weight = [](double hz) {
    const double f2 = squared(hz);
    return squared(12194.217) * squared(f2) /
           ((f2 + squared(20.598997)) * (f2 + squared(12194.217)) *
            std::sqrt((f2 + squared(107.65265)) * (f2 + squared(737.86223))));
  };
  static const double at_1_khz = weight(1000.0);
  return base::amplitude_to_db(weight(frequency_hz) / at_1_khz);
}

double response_db(std::span<const ResponsePoint> response, double frequency_hz) noexcept {
  if (response.empty()) {
    return 0.0;
  }
  const auto at = [&](double hz) {
    const auto above = std::find_if(response.begin(), response.end(), [hz](const auto& point) {
      return point.frequency_hz >= hz;
    });
    if (above == response.begin() || above == response.end()) {
      return above == response.end() ? response.back().level_db : above->level_db;
    }
    const ResponsePoint& below = *(above - 1);
    const double share =
        std::log(hz / below.frequency_hz) / std::log(above->frequency_hz / below.frequency_hz);
    return std::lerp(below.level_db, above->level_db, share);
  };
  return at(frequency_hz) - at(1000.0);
}

SoundMeter::SoundMeter(double sample_rate_hz, const Calibration& calibration)
    : fft_(2 * static_cast<int>(std::lround(kHopS * sample_rate_hz))),
      full_scale_db_spl_(calibration.full_scale_db_spl) {
  const auto size = static_cast<std::size_t>(fft_.size_samples());
  window_.resize(size);
  for (std::size_t n = 0; n < size; ++n) {
    window_[n] = static_cast<float>(
        std::sin(std::numbers::pi * (static_cast<double>(n) + 0.5) / static_cast<double>(size)));
  }
  const auto bin_count = static_cast<std::size_t>(fft_.bin_count());
  weights_.resize(bin_count);
  for (std::size_t k = 1; k < bin_count; ++k) {  // the bin at 0 Hz is no sound
    const double hz = static_cast<double>(k) * sample_rate_hz / static_cast<double>(size);
    const double gain_db = a_weighting_db(hz) - response_db(calibration.response, hz);
    // Both halves of the spectrum, except at the highest bin; Parseval's 1 / size. A hop's mean
    // square is that over half a window, as two windows share each sample.
    const double halves = k + 1 == bin_count ? 1.0 : 2.0;
    weights_[k] = static_cast<float>(halves * squared(base::db_to_amplitude(gain_db)) /
                                     (static_cast<double>(size) * static_cast<double>(size) / 2.0));
  }
  samples_.resize(size);
  windowed_.resize(size);
  bins_.resize(bin_count);
}

void SoundMeter::push(std::span<const float> block) noexcept {
  for (const float sample : block) {
    samples_[filled_++] = std::isfinite(sample) ? sample : 0.0F;
    if (filled_ == samples_.size()) {
      end_window();
    }
  }
}

void SoundMeter::end_window() noexcept {
  std::transform(
      samples_.begin(), samples_.end(), window_.begin(), windowed_.begin(), std::multiplies<>());
  fft_.forward(windowed_, bins_);
  for (std::size_t k = 0; k < bins_.size(); ++k) {
    power_sum_ += static_cast<double>(weights_[k]) * static_cast<double>(std::norm(bins_[k]));
  }
  filled_ = samples_.size() / 2;
  std::copy(
      samples_.begin() + static_cast<std::ptrdiff_t>(filled_), samples_.end(), samples_.begin());
  if (++hop_count_ == kHopsPerSecond) {
    end_second();
  }
}

void SoundMeter::end_second() noexcept {
  const double mean = power_sum_ / static_cast<double>(kHopsPerSecond);
  seconds_[second_count_ % kSeconds] = mean;
  ++second_count_;
  all_power_sum_ += mean;
  power_sum_ = 0.0;
  hop_count_ = 0;
}

void SoundMeter::break_off() noexcept {
  filled_ = 0;
}

double SoundMeter::to_db(double power_lin) const noexcept {
  const double level_dbfs = base::power_to_db(power_lin);
  return level_dbfs > base::kSilenceDb ? level_dbfs + full_scale_db_spl_ : base::kSilenceDb;
}

double dose_share(const show::SoundLevels& levels) noexcept {
  constexpr double kLimitDb = 85.0;
  constexpr double kLimitS = 8.0 * 3600.0;
  constexpr double kExchangeDb = 3.0;
  return levels.since_start_db > base::kSilenceDb
             ? levels.heard_s / kLimitS *
                   std::exp2((levels.since_start_db - kLimitDb) / kExchangeDb)
             : 0.0;
}

std::optional<show::SoundLevels> SoundMeter::levels() const noexcept {
  if (second_count_ == 0) {
    return std::nullopt;
  }
  const std::size_t kept = std::min(second_count_, kSeconds);
  double sum = 0.0;
  for (std::size_t i = 0; i < kept; ++i) {
    sum += seconds_[i];
  }
  return show::SoundLevels{
      .one_second_db = to_db(seconds_[(second_count_ - 1) % kSeconds]),
      .since_start_db = to_db(all_power_sum_ / static_cast<double>(second_count_)),
      .fifteen_minutes_db = to_db(sum / static_cast<double>(kept)),
      .heard_s = static_cast<double>(second_count_)};
}

}  // namespace brink::listen
