#include <algorithm>
#include <cmath>

#include "base/window.h"
#include "bench/literature/criteria.h"
#include "bench/literature/measures.h"

namespace brink::bench {

namespace {

constexpr double kWindowS = 0.064;
constexpr double kHopS = 0.020;
constexpr double kLearnS = 2.0;
constexpr int kLooks = 32;
constexpr double kThreshold = 0.98;
constexpr std::size_t kLowestBin = 2;  // below lies the lobe of 0 Hz

class Ninos2T final : public Criterion {
 public:
  explicit Ninos2T(const CriterionOptions& options)
      : window_samples_{base::fast_fft_size(
            static_cast<int>(std::lround(kWindowS * options.sample_rate_hz)))},
        hop_samples_{static_cast<int>(std::lround(kHopS * options.sample_rate_hz))},
        threshold_{options.threshold.value_or(kThreshold)},
        remembered_looks_{static_cast<std::size_t>(options.looks.value_or(kLooks))},
        mean_db_(static_cast<std::size_t>(window_samples_ / 2 + 1)),
        heights_db_(mean_db_.size() * remembered_looks_) {}

  [[nodiscard]] int window_samples() const override { return window_samples_; }

  [[nodiscard]] int hop_samples() const override { return hop_samples_; }

  [[nodiscard]] std::vector<float> window() const override {
    return base::hann_window(window_samples_);
  }

  std::vector<Howl> look(std::span<const float> power) override {
    ++looks_;
    if (looks_ <= kLearnLooks) {
      for (std::size_t k = 0; k < power.size(); ++k) {
        mean_db_[k] += to_db(static_cast<double>(power[k])) / kLearnLooks;
      }
      return {};
    }
    const auto slot = static_cast<std::size_t>(looks_) % remembered_looks_;
    for (std::size_t k = 0; k < power.size(); ++k) {
      const double height_db = to_db(static_cast<double>(power[k])) - mean_db_[k];
      heights_db_[k * remembered_looks_ + slot] = static_cast<float>(std::max(0.0, height_db));
    }
    if (looks_ < kLearnLooks + static_cast<int>(remembered_looks_)) {
      return {};
    }
    return largest(power);
  }

 private:
  static constexpr int kLearnLooks = static_cast<int>(kLearnS / kHopS);

  [[nodiscard]] std::vector<Howl> largest(std::span<const float> power) const {
    double best = -1.0;
    std::size_t best_bin = 0;
    for (std::size_t k = kLowestBin; k + 1 < power.size(); ++k) {
      const double value =
          ninos2_t({heights_db_.data() + k * remembered_looks_, remembered_looks_});
      if (value > best) {
        best = value;
        best_bin = k;
      }
    }
    if (best < threshold_) {
      return {};
    }
    return {{three_bin_position(power, best_bin), best_bin, best}};
  }

  int window_samples_;
  int hop_samples_;
  double threshold_;
  std::size_t remembered_looks_;
  int looks_ = 0;
  std::vector<double> mean_db_;    ///< of each bin over the first looks
  std::vector<float> heights_db_;  ///< remembered_looks_ values for each bin
};

}  // namespace

std::unique_ptr<Criterion> make_ninos2_t(const CriterionOptions& options) {
  return std::make_unique<Ninos2T>(options);
}

}  // namespace brink::bench
