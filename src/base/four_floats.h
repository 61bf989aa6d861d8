#pragma once

#include <cmath>
#include <cstddef>

namespace brink::base {

/// Four numbers that are added and multiplied side by side. Has what KissFFT's C++ template asks of
/// a number: the template computes its constants with the standard functions, the same in all four,
/// hence the conversions from and to one number. The vector type is an extension of GCC and Clang.
struct FourFloats {
  static constexpr int kLanes = 4;
  using Lanes = float __attribute__((vector_size(kLanes * sizeof(float))));

  Lanes lanes;

  FourFloats() = default;

  FourFloats(float each) : lanes{each, each, each, each} {}  // NOLINT(google-explicit-constructor)

  explicit FourFloats(Lanes all) : lanes(all) {}

  operator float() const { return lanes[0]; }  // NOLINT(google-explicit-constructor)

  FourFloats& operator+=(FourFloats b) {
    lanes += b.lanes;
    return *this;
  }

  FourFloats& operator-=(FourFloats b) {
    lanes -= b.lanes;
    return *this;
  }

  FourFloats& operator*=(FourFloats b) {
    lanes *= b.lanes;
    return *this;
  }

  friend FourFloats operator+(FourFloats a, FourFloats b) { return a += b; }

  friend FourFloats operator-(FourFloats a, FourFloats b) { return a -= b; }

  friend FourFloats operator*(FourFloats a, FourFloats b) { return a *= b; }

  friend FourFloats operator-(FourFloats a) { return FourFloats(-a.lanes); }

  // The template's constants.
  friend FourFloats operator*(int a, FourFloats b) { return FourFloats(static_cast<float>(a)) * b; }

  friend FourFloats operator*(FourFloats a, int b) { return b * a; }

  friend FourFloats operator*(std::size_t a, FourFloats b) {
    return static_cast<float>(a) * b.lanes[0];
  }

  friend FourFloats operator/(FourFloats a, std::size_t b) {
    return a.lanes[0] / static_cast<float>(b);
  }

  friend bool operator>=(FourFloats a, int b) { return a.lanes[0] >= static_cast<float>(b); }

  friend FourFloats exp(FourFloats a) { return std::exp(a.lanes[0]); }

  friend FourFloats cos(FourFloats a) { return std::cos(a.lanes[0]); }

  friend FourFloats sin(FourFloats a) { return std::sin(a.lanes[0]); }
};

}  // namespace brink::base
