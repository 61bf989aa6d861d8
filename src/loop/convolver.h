#pragma once

#include <complex>
#include <span>
#include <vector>

#include "base/double_fft.h"

namespace brink::loop {

/// Convolves one signal with several responses, block by block. Each response is cut into
/// partitions of one block, and the method is overlap-save in the frequency domain. Source: T. G.
/// Stockham, "High-speed convolution and correlation", AFIPS 28, 229-233, 1966, with the response
/// cut into equal parts. Double precision. Constructing allocates; push does not. [any]
class UniformConvolver {
 public:
  /// `block_samples`: a power of two, >= 2. Each response may have its own length; an empty one
  /// gives silence.
  UniformConvolver(int block_samples, std::span<const std::vector<double>> responses);

  /// Takes one block and gives its convolution with each response, for the same samples. `output`
  /// holds the blocks of all responses one after the other: response count times block_samples
  /// values.
  void push(std::span<const double> block, std::span<double> output) noexcept;

  [[nodiscard]] int block_samples() const noexcept { return block_; }

 private:
  // Real and imaginary parts are stored apart, so that several products run at a time.
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
  std::vector<Spectrum> history_;  // ring of the spectra of the last blocks
  std::size_t newest_ = 0;
  std::vector<double> window_;  // the last two blocks
  std::vector<std::complex<double>> bins_;
  Spectrum sum_;
  std::vector<double> samples_;
};

/// Convolves one signal with several responses that all begin with at least `delay_samples` zeros.
/// So it can give the output before it gets the input of the same time, as a loop needs. The first
/// part of a response runs in blocks of block_samples(), the rest in long ones. Source: W. G.
/// Gardner, "Efficient convolution without input-output delay", J. Audio Eng. Soc. 43(3), 127-136,
/// 1995; here with two sizes of block.
class DelayedConvolver {
 public:
  /// `delay_samples` >= 1. block_samples() is the largest power of two not above it, and at most
  /// 256. Throws Error when a response is not zero before the delay.
  DelayedConvolver(int delay_samples, std::span<const std::vector<double>> responses);

  [[nodiscard]] int block_samples() const noexcept { return block_; }

  /// The next block_samples() output samples of one response. They depend only on the input pushed
  /// before.
  [[nodiscard]] std::span<const double> next(std::size_t response) const noexcept;

  /// The input of the same time as the block that next() has just given.
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
