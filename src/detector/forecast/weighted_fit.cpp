#include "detector/forecast/weighted_fit.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <numbers>
#include <numeric>

namespace brink::detector {
namespace {

constexpr double kEnough = 1e-8;
/// Of the greatest power: the preconditioner goes no lower.
constexpr double kLeastPower = 1e-6;
constexpr std::size_t kSmoothBins = 4;  // to either side
constexpr std::size_t kLeastSize = 4096;

double dot(std::span<const double> a, std::span<const double> b) noexcept {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

}  // namespace

WeightedFit::WeightedFit(std::size_t first_lag, std::size_t lags)
    : first_(first_lag),
      lags_(lags),
      fft_(static_cast<int>(std::bit_ceil(std::max(kLeastSize, 2 * lags)))),
      hop_(static_cast<std::size_t>(fft_.size_samples()) - lags),
      block_(static_cast<std::size_t>(fft_.size_samples())),
      bins_(static_cast<std::size_t>(fft_.bin_count())),
      response_bins_(bins_.size()),
      sum_(bins_.size()),
      power_(bins_.size()),
      response_(lags) {}

void WeightedFit::start_from(std::span<const double> response) noexcept {
  std::fill(response_.begin(), response_.end(), 0.0);
  std::copy_n(response.begin(), std::min(response.size(), lags_), response_.begin());
}

void WeightedFit::prepare(std::span<const double> input,
                          std::span<const double> output,
                          std::span<const double> weights) {
  input_ = input;
  output_ = output;
  weights_ = weights;
  const std::size_t blocks = (input.size() + hop_ - 1) / hop_;
  input_bins_.resize(blocks, std::vector<std::complex<double>>(bins_.size()));
  counts_.assign(blocks, false);
  for (std::size_t b = 0; b < blocks; ++b) {
    const auto own = weights.subspan(b * hop_, std::min(hop_, weights.size() - b * hop_));
    counts_[b] = std::any_of(own.begin(), own.end(), [](double weight) { return weight > 0.0; });
    if (counts_[b]) {
      transform(input, b, input_bins_[b]);
    }
  }
  find_preconditioner();
  std::vector<double> right;
  multiply({}, right);
  rest_ = right;
  if (std::any_of(response_.begin(), response_.end(), [](double tap) { return tap != 0.0; })) {
    multiply(response_, product_);
    for (std::size_t k = 0; k < lags_; ++k) {
      rest_[k] -= product_[k];
    }
  }
  precondition(right, easy_rest_);
  enough_ = kEnough * dot(right, easy_rest_);
  precondition(rest_, easy_rest_);
  direction_ = easy_rest_;
  size_ = dot(rest_, easy_rest_);
}

void WeightedFit::step() {
  if (!(size_ > enough_)) {
    return;
  }
  multiply(direction_, product_);
  const double curve = dot(direction_, product_);
  if (!(curve > 0.0)) {
    return;
  }
  const double length = size_ / curve;
  for (std::size_t k = 0; k < lags_; ++k) {
    response_[k] += length * direction_[k];
    rest_[k] -= length * product_[k];
  }
  precondition(rest_, easy_rest_);
  const double next = dot(rest_, easy_rest_);
  for (std::size_t k = 0; k < lags_; ++k) {
    direction_[k] = easy_rest_[k] + next / size_ * direction_[k];
  }
  size_ = next;
}

void WeightedFit::transform(std::span<const double> sound,
                            std::size_t b,
                            std::vector<std::complex<double>>& bins) {
  const std::size_t at = b * hop_;  // of the block; the past before it
  const std::size_t past = std::min(at, lags_);
  const std::size_t count = std::min(hop_, sound.size() - at);
  std::fill(block_.begin(), block_.end(), 0.0);
  std::copy_n(sound.begin() + static_cast<std::ptrdiff_t>(at - past),
              past + count,
              block_.begin() + static_cast<std::ptrdiff_t>(lags_ - past));
  fft_.forward(block_, bins);
}

void WeightedFit::transform_response(std::span<const double> response) {
  std::fill(block_.begin(), block_.end(), 0.0);
  const double scale = 1.0 / static_cast<double>(block_.size());  // of the way there and back
  std::transform(response.begin(), response.end(), block_.begin(), [scale](double tap) {
    return tap * scale;
  });
  fft_.forward(block_, response_bins_);
}

void WeightedFit::filter(std::span<const std::complex<double>> input_bins) {
  std::transform(input_bins.begin(),
                 input_bins.end(),
                 response_bins_.begin(),
                 bins_.begin(),
                 std::multiplies<>());
  fft_.inverse(bins_, block_);
}

void WeightedFit::multiply(std::span<const double> vector, std::vector<double>& product) {
  if (!vector.empty()) {
    transform_response(vector);
  }
  std::fill(sum_.begin(), sum_.end(), 0.0);
  for (std::size_t b = 0; b < input_bins_.size(); ++b) {
    if (!counts_[b]) {
      continue;
    }
    const std::size_t at = b * hop_;
    const std::size_t count = std::min(hop_, output_.size() - at);
    const auto made = std::span(block_).subspan(lags_);
    if (vector.empty()) {
      std::copy_n(output_.begin() + static_cast<std::ptrdiff_t>(at), count, made.begin());
    } else {
      filter(input_bins_[b]);
    }
    for (std::size_t n = 0; n < count; ++n) {
      made[n] *= weights_[at + n];
    }
    std::fill(made.begin() + static_cast<std::ptrdiff_t>(count), made.end(), 0.0);
    std::fill_n(block_.begin(), lags_, 0.0);
    fft_.forward(block_, bins_);
    for (std::size_t k = 0; k < bins_.size(); ++k) {
      sum_[k] += bins_[k] * std::conj(input_bins_[b][k]);
    }
  }
  fft_.inverse(sum_, block_);
  const double scale = 1.0 / static_cast<double>(block_.size());
  product.assign(lags_, 0.0);
  for (std::size_t k = first_; k < lags_; ++k) {
    product[k] = block_[k] * scale;
  }
}

std::vector<double> WeightedFit::residual(std::span<const double> input,
                                          std::span<const double> output) {
  std::vector<double> left(output.begin(), output.end());
  transform_response(response_);
  for (std::size_t at = 0; at < left.size(); at += hop_) {
    transform(input, at / hop_, sum_);
    filter(sum_);
    for (std::size_t n = 0; n < std::min(hop_, left.size() - at); ++n) {
      left[at + n] -= block_[lags_ + n];
    }
  }
  return left;
}

void WeightedFit::find_preconditioner() {
  std::vector<double> power(bins_.size());
  const double turn = 2.0 * std::numbers::pi / static_cast<double>(block_.size());
  for (std::size_t at = 0; at < input_.size(); at += block_.size() / 2) {
    const std::size_t count = std::min(block_.size(), input_.size() - at);
    std::fill(block_.begin(), block_.end(), 0.0);
    for (std::size_t n = 0; n < count; ++n) {
      const double window = 0.5 - 0.5 * std::cos(turn * static_cast<double>(n));
      block_[n] = window * std::sqrt(weights_[at + n]) * input_[at + n];
    }
    fft_.forward(block_, bins_);
    for (std::size_t k = 0; k < power.size(); ++k) {
      power[k] += std::norm(bins_[k]);
    }
  }
  for (std::size_t k = 0; k < power.size(); ++k) {
    const std::size_t from = k < kSmoothBins ? 0 : k - kSmoothBins;
    const std::size_t to = std::min(power.size(), k + kSmoothBins + 1);
    power_[k] = std::accumulate(power.begin() + static_cast<std::ptrdiff_t>(from),
                                power.begin() + static_cast<std::ptrdiff_t>(to),
                                0.0) /
                static_cast<double>(to - from);
  }
  const double least = kLeastPower * *std::max_element(power_.begin(), power_.end());
  for (double& value : power_) {
    value += least;
  }
}

void WeightedFit::precondition(std::span<const double> vector, std::vector<double>& product) {
  std::copy(vector.begin(), vector.end(), block_.begin());
  std::fill(block_.begin() + static_cast<std::ptrdiff_t>(lags_), block_.end(), 0.0);
  fft_.forward(block_, bins_);
  for (std::size_t k = 0; k < bins_.size(); ++k) {
    bins_[k] = power_[k] > 0.0 ? bins_[k] / power_[k] : 0.0;
  }
  fft_.inverse(bins_, block_);
  product.assign(lags_, 0.0);
  std::copy_n(block_.begin() + static_cast<std::ptrdiff_t>(first_),
              lags_ - first_,
              product.begin() + static_cast<std::ptrdiff_t>(first_));
}

double WeightedFit::condition(double low, double high) const noexcept {
  const auto size = static_cast<double>(block_.size());
  const auto from = power_.begin() + static_cast<std::ptrdiff_t>(low * size);
  const auto to = power_.begin() + static_cast<std::ptrdiff_t>(high * size);
  const auto [least, most] = std::minmax_element(from, to);
  return *least > 0.0 ? *most / *least : 0.0;
}

}  // namespace brink::detector
