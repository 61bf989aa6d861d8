#include "bench/literature/criterion.h"

#include <algorithm>
#include <cmath>
#include <complex>

#include "bench/literature/criteria.h"

namespace brink::bench {

std::unique_ptr<Criterion> make_criterion(std::string_view name, const CriterionOptions& options) {
  if (name == "phpr-ipmp") {
    return make_phpr_ipmp(options);
  }
  if (name == "fep") {
    return make_fep(options);
  }
  if (name == "ninos2-t") {
    return make_ninos2_t(options);
  }
  return nullptr;
}

CriterionRun::CriterionRun(std::unique_ptr<Criterion> criterion, double sample_rate_hz)
    : criterion_{std::move(criterion)},
      sample_rate_hz_{sample_rate_hz},
      fft_{criterion_->window_samples()},
      window_{criterion_->window()},
      newest_(window_.size()),
      until_look_{window_.size()} {}

void CriterionRun::push(std::span<const float> samples) {
  while (!samples.empty()) {
    const std::size_t count = std::min(samples.size(), until_look_);
    std::copy(newest_.begin() + static_cast<std::ptrdiff_t>(count), newest_.end(), newest_.begin());
    std::copy_n(samples.begin(), count, newest_.end() - static_cast<std::ptrdiff_t>(count));
    samples = samples.subspan(count);
    heard_samples_ += static_cast<std::int64_t>(count);
    until_look_ -= count;
    if (until_look_ == 0) {
      look();
      until_look_ = static_cast<std::size_t>(criterion_->hop_samples());
    }
  }
}

void CriterionRun::look() {
  std::vector<float> windowed(newest_.size());
  std::transform(
      newest_.begin(), newest_.end(), window_.begin(), windowed.begin(), std::multiplies<>{});
  std::vector<std::complex<float>> bins(static_cast<std::size_t>(fft_.bin_count()));
  fft_.forward(windowed, bins);
  std::vector<float> power(bins.size());
  std::transform(bins.begin(), bins.end(), power.begin(), [](const std::complex<float>& bin) {
    return std::norm(bin);
  });
  for (const Howl& howl : criterion_->look(power)) {
    report(howl.position_bins * sample_rate_hz_ / criterion_->window_samples());
  }
}

void CriterionRun::report(double frequency_hz) {
  constexpr double kReachOctaves = 1.0 / 20.0;
  constexpr double kPatienceS = 1.0;
  const double patience_samples = kPatienceS * sample_rate_hz_;
  for (CriterionRing& ring : rings_) {
    const bool is_near = std::abs(std::log2(frequency_hz / ring.frequency_hz)) <= kReachOctaves;
    if (is_near && static_cast<double>(heard_samples_ - ring.last_sample) <= patience_samples) {
      ring.last_sample = heard_samples_;
      return;
    }
  }
  rings_.push_back({frequency_hz, heard_samples_, heard_samples_});
}

}  // namespace brink::bench
