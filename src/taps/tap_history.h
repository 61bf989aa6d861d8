#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace brink::taps {

/// The last samples of every tap, so that all can be looked at for one moment. Constructing
/// allocates, the rest does not. [analysis]
class TapHistory {
 public:
  /// Largest block that push() takes.
  static constexpr std::size_t kMostBlock = 8192;

  /// Keeps at least `kept_s` before the newest block.
  TapHistory(double sample_rate_hz, std::size_t tap_count, double kept_s);

  /// One span for each tap, all equally long. A sample that is no number counts as 0.
  void push(std::span<const std::span<const float>> block) noexcept;
  void push_silence(std::size_t sample_count) noexcept;

  /// Samples pushed so far.
  [[nodiscard]] std::int64_t sample_count() const noexcept { return count_; }

  [[nodiscard]] std::size_t tap_count() const noexcept { return samples_.size(); }

  [[nodiscard]] double sample_rate_hz() const noexcept { return sample_rate_hz_; }

  /// Sample number `at` of the stream; 0 for what is forgotten or not there yet.
  [[nodiscard]] float sample(std::size_t tap, std::int64_t at) const noexcept;

  /// Complex amplitude of a tone on every tap over the `length` samples that end before `end`, by
  /// a Hann window; a full-scale sine has size 1. All taps have the same zero of phase. On an
  /// exponentially growing tone every tap is wrong by the same factor.
  void tones(double frequency_hz,
             std::int64_t end,
             std::size_t length,
             std::span<std::complex<double>> tones) const noexcept;

 private:
  static constexpr std::size_t kWeights = 256;

  struct Weights {
    std::array<float, kWeights> real{};
    std::array<float, kWeights> imaginary{};
  };

  [[nodiscard]] std::complex<double> weighted_sum(std::size_t tap,
                                                  std::int64_t begin,
                                                  std::size_t count,
                                                  const Weights& weights) const noexcept;

  double sample_rate_hz_;
  std::size_t kept_;
  std::int64_t count_ = 0;
  std::vector<std::vector<float>> samples_;  // rings
};

}  // namespace brink::taps
