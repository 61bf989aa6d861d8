#include "detector/slope_fit.h"

#include <cassert>
#include <cmath>
#include <numeric>

#include "base/window.h"

namespace brink::detector {

namespace {

/// Share of a look's noise that it has alone. Smaller comes nearer to the bound in white noise and
/// trusts the model more; measured: 0.003 stays within 1.5 times the bound from 1.4 windows on.
constexpr double kOwnNoise = 0.003;

/// Correlation of the noise of two looks, by their distance in hops.
std::vector<double> look_correlation(int window_samples, int hop_samples, int max_looks) {
  const std::vector<float> window = base::hann_window(window_samples);
  std::vector<double> correlation(static_cast<std::size_t>(max_looks));
  for (std::size_t lag = 0; lag < correlation.size(); ++lag) {
    for (std::size_t n = lag * static_cast<std::size_t>(hop_samples); n < window.size(); ++n) {
      const std::size_t earlier = n - lag * static_cast<std::size_t>(hop_samples);
      correlation[lag] += static_cast<double>(window[n]) * static_cast<double>(window[earlier]);
    }
  }
  const double power = correlation[0];
  for (double& value : correlation) {
    value /= power;
  }
  return correlation;
}

/// Lower Cholesky factor of the correlation matrix, row by row. The factor for fewer looks is its
/// upper left corner, so that one factor serves every number of looks.
class Factor {
 public:
  explicit Factor(const std::vector<double>& correlation)
      : size_{correlation.size()}, rows_(size_ * size_) {
    for (std::size_t i = 0; i < size_; ++i) {
      for (std::size_t j = 0; j <= i; ++j) {
        double rest = correlation[i - j] + (i == j ? kOwnNoise : 0.0);
        for (std::size_t k = 0; k < j; ++k) {
          rest -= at(i, k) * at(j, k);
        }
        rows_[i * size_ + j] = i == j ? std::sqrt(rest) : rest / at(j, j);
      }
    }
  }

  /// Solves correlation * x = values for the first values.size() looks, in place.
  void solve(std::vector<double>& values) const {
    for (std::size_t i = 0; i < values.size(); ++i) {
      for (std::size_t k = 0; k < i; ++k) {
        values[i] -= at(i, k) * values[k];
      }
      values[i] /= at(i, i);
    }
    for (std::size_t i = values.size(); i-- > 0;) {
      for (std::size_t k = i + 1; k < values.size(); ++k) {
        values[i] -= at(k, i) * values[k];
      }
      values[i] /= at(i, i);
    }
  }

 private:
  [[nodiscard]] double at(std::size_t row, std::size_t column) const {
    return rows_[row * size_ + column];
  }

  std::size_t size_;
  std::vector<double> rows_;
};

/// Where the weights for `looks` looks begin: behind those for 2, 3, ... looks - 1.
std::size_t offset_of(int looks) {
  return static_cast<std::size_t>(looks * (looks - 1) / 2 - 1);
}

}  // namespace

SlopeFit::SlopeFit(int window_samples, int hop_samples, int max_looks) {
  assert(max_looks >= 2 && hop_samples > 0 && window_samples >= hop_samples);
  const Factor factor{look_correlation(window_samples, hop_samples, max_looks)};
  weights_.reserve(offset_of(max_looks + 1));
  for (int looks = 2; looks <= max_looks; ++looks) {
    // By symmetry the fitted mean and slope do not mix: centred times alone give the slope.
    std::vector<double> times(static_cast<std::size_t>(looks));
    for (std::size_t back = 0; back < times.size(); ++back) {
      times[back] = 0.5 * (looks - 1) - static_cast<double>(back);
    }
    std::vector<double> solved = times;
    factor.solve(solved);
    const double information = std::inner_product(times.begin(), times.end(), solved.begin(), 0.0);
    for (const double value : solved) {
      weights_.push_back(static_cast<float>(value / information));
    }
    deviations_.push_back(static_cast<float>(1.0 / std::sqrt(information)));
  }
}

std::span<const float> SlopeFit::weights(int looks) const noexcept {
  assert(looks >= 2 && offset_of(looks + 1) <= weights_.size());
  return {weights_.data() + offset_of(looks), static_cast<std::size_t>(looks)};
}

float SlopeFit::deviation(int looks) const noexcept {
  assert(looks >= 2);
  return deviations_[static_cast<std::size_t>(looks - 2)];
}

}  // namespace brink::detector
