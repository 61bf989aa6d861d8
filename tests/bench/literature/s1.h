#pragma once

#include "bench/literature/criteria.h"

namespace brink::bench {

/// What the two criteria of S1 share: its window, hop and candidates.
class S1Criterion : public Criterion {
 public:
  explicit S1Criterion(double sample_rate_hz) : size_{s1_window_samples(sample_rate_hz)} {}

  [[nodiscard]] int window_samples() const override { return size_; }

  [[nodiscard]] int hop_samples() const override { return size_ / 2; }

  [[nodiscard]] std::vector<float> window() const override;

 protected:
  static constexpr std::size_t kCandidates = 3;
  static constexpr std::size_t kLowestBin =
      3;  ///< below lies the lobe of 0 Hz (Blackman: +-3 bins)

 private:
  int size_;
};

}  // namespace brink::bench
