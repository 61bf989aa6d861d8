#pragma once

#include <cstddef>
#include <vector>

namespace brink::base {

/// Complex numbers, real and imaginary parts apart, so that several can be worked at side by side.
struct Parts {
  explicit Parts(std::size_t size) : real(size), imag(size) {}

  std::vector<float> real, imag;
};

/// Forward transform of complex numbers in single precision, in passes that leave their results in
/// order (T. G. Stockham, "High-speed convolution and correlation", AFIPS 28, 229-233, 1966, with
/// radices 4, 5, 3 and 2; others are slow). Constructing allocates; transform() does not. [any]
class FftPasses {
 public:
  /// `size` >= 1.
  explicit FftPasses(std::size_t size);

  /// Transforms `one`, uses both up, and returns which of them has the result. Both hold `size`
  /// numbers.
  [[nodiscard]] const Parts& transform(Parts& one, Parts& other) const noexcept;

  /// `count` groups of `radix` numbers are transformed for each place of the stride.
  struct Pass {
    std::size_t radix;
    std::size_t count;
    std::size_t stride;  ///< product of the radices before
    Parts twiddles;      ///< number k of group j at k * count + j
    Parts roots;         ///< of 1, `radix` of them
  };

 private:
  std::vector<Pass> passes_;
};

}  // namespace brink::base
