#pragma once

#include <complex>
#include <span>
#include <vector>

#include "base/double_fft.h"

namespace brink::loop {

/// Convolves one signal with several responses, block by block: equal partitions of one block each,
/// overlap-save in the frequency domain. Source: T. G. Stockham, "High-speed convolution and
/// correlation", AFIPS 28, 229-233, 1966, with the response cut into equal parts.
/// Double precision. Constructing allocates; push does not. [any]
class UniformConvolver {
 public:
  /// `block_samples`: a power of two, >= 2. Each response may have its own length; an empty one
  /// gives silence.
  UniformConvolver(int block_samples, std::span<const std::vector<double>> responses);

  /// Takes one block and gives, for the same samples, the convolution with each response, one after
  /// the other: `output` holds response count times block_samples values.
  void push(std::span<const double> block, std::span<double> output) noexcept;

  [[nodiscard]] int block_samples() const noexcept { return block_; }

 private:
  // Real and imaginary parts apart: the products then run several at a time.
  struct Spectrum {
    std::vector<double> real;
    std::vector<double> imag;
  };

  struct Response {
    std::vector<Spectrum> partitions;
  };

  void sum_products(const Response& response) noexcept;

  int block_;
  base::DoubleFft fft_;
  std::vector<Response> responses_;
  std::vector<Spectrum> history_;  // spectra of the last blocks, a ring
  std::size_t newest_ = 0;
  std::vector<double> window_;  // the last two blocks
  std::vector<std::complex<double>> bins_;
  Spectrum sum_;
  std::vector<double> samples_;
};

/// Convolves one signal with several responses that all begin with `delay_samples` zeros or more,
/// and gives the output before the input that comes at the same time: what a loop needs. The first
/// part of a response runs in blocks of block_samples(), the rest in long ones (W. G. Gardner,
/// "Efficient convolution without input-output delay", J. Audio Eng. Soc. 43(3), 127-136, 1995,
/// with two sizes).
class DelayedConvolver {
 public:
  /// `delay_samples` >= 1; block_samples() is the largest power of two not above it, at most 256.
  /// Throws Error when a response is not zero before the delay.
  DelayedConvolver(int delay_samples, std::span<const std::vector<double>> responses);

  [[nodiscard]] int block_samples() const noexcept { return block_; }

  /// The next block_samples() output samples of one response: they depend on pushed input alone.
  [[nodiscard]] std::span<const double> next(std::size_t response) const noexcept;

  /// The input for the block that next() has just given.
  void push(std::span<const double> block) noexcept;

 private:
  static constexpr int kMostBlock = 256;
  static constexpr int kLongBlock = 2048;

  int block_;
  std::size_t response_count_;
  UniformConvolver head_;
  UniformConvolver tail_;
  std::vector<double> head_output_;
  std::vector<double> tail_output_;
  std::vector<double> long_input_;
  std::size_t long_filled_ = 0;
  std::vector<double> next_;
};

}  // namespace brink::loop
