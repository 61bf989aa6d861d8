#include "base/long_toeplitz.h"

#include <algorithm>
#include <bit>
#include <numeric>

namespace brink::base {
namespace {

constexpr int kMostSteps = 40;
constexpr double kResidual = 1e-5;

double dot(std::span<const double> a, std::span<const double> b) noexcept {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

}  // namespace

LongToeplitz::LongToeplitz(std::size_t size)
    : size_(size),
      fft_(static_cast<int>(std::bit_ceil(2 * size))),
      circle_(static_cast<std::size_t>(fft_.size_samples())),
      matrix_bins_(static_cast<std::size_t>(fft_.bin_count())),
      bins_(matrix_bins_.size()) {}

void LongToeplitz::multiply(std::span<const double> vector, std::span<double> product) {
  std::copy(vector.begin(), vector.end(), circle_.begin());
  std::fill(circle_.begin() + static_cast<std::ptrdiff_t>(size_), circle_.end(), 0.0);
  fft_.forward(circle_, bins_);
  for (std::size_t k = 0; k < bins_.size(); ++k) {
    bins_[k] *= matrix_bins_[k];
  }
  fft_.inverse(bins_, circle_);
  std::copy_n(circle_.begin(), size_, product.begin());
}

bool LongToeplitz::solve(std::span<const double> column,
                         std::span<const double> right,
                         std::span<double> solution) {
  std::fill(circle_.begin(), circle_.end(), 0.0);
  const double scale =
      1.0 / static_cast<double>(circle_.size());  // of the transform there and back
  for (std::size_t k = 0; k < size_; ++k) {
    circle_[k] = column[k] * scale;
    circle_[(circle_.size() - k) % circle_.size()] = column[k] * scale;
  }
  fft_.forward(circle_, matrix_bins_);

  std::fill(solution.begin(), solution.end(), 0.0);
  std::vector<double> rest(right.begin(), right.end());
  std::vector<double> direction = rest;
  std::vector<double> product(size_);
  double power = dot(rest, rest);
  const double enough = kResidual * kResidual * power;
  for (int step = 0; step < kMostSteps && power > enough; ++step) {
    multiply(direction, product);
    const double curve = dot(direction, product);
    if (!(curve > 0.0)) {
      std::fill(solution.begin(), solution.end(), 0.0);
      return false;
    }
    const double length = power / curve;
    for (std::size_t k = 0; k < size_; ++k) {
      solution[k] += length * direction[k];
      rest[k] -= length * product[k];
    }
    const double next = dot(rest, rest);
    for (std::size_t k = 0; k < size_; ++k) {
      direction[k] = rest[k] + next / power * direction[k];
    }
    power = next;
  }
  return column[0] > 0.0;
}

}  // namespace brink::base
