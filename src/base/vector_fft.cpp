#include "base/vector_fft.h"

#include <kissfft/kiss_fft.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstring>
#include <kissfft/kissfft.hh>
#include <numbers>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/four_floats.h"

namespace brink::base {

namespace {

constexpr int kLanes = FourFloats::kLanes;

// KissFFT takes real samples as the real and imaginary parts in turn.
using ComplexLanes = std::complex<FourFloats>;
static_assert(sizeof(ComplexLanes) == sizeof(float) * 2 * kLanes);

ComplexLanes turn(double angle) {
  return {static_cast<float>(std::cos(angle)), static_cast<float>(std::sin(angle))};
}

}  // namespace

int fast_fft_size(int least_samples) noexcept {
  const int least_eighth = (least_samples + 2 * kLanes - 1) / (2 * kLanes);
  return 2 * kLanes * kiss_fft_next_fast_size(std::max(2, least_eighth));
}

// Decimation in time: each fourth sample belongs to one lane, so that one transform of a quarter of
// the length does the work of four. Its real samples are treated as complex ones of half that
// length again: even ones are the real parts, odd ones the imaginary parts. One butterfly separates
// these, a second one joins the lanes.
struct VectorFft::Plan {
  explicit Plan(int size)
      : size_eighth{static_cast<std::size_t>(size / (2 * kLanes))},
        transform{size_eighth, false},
        packed(size_eighth),
        turned(size_eighth + 1),
        half_twiddle(size_eighth + 1),
        lane_twiddle(size_eighth + 1) {
    for (std::size_t k = 0; k <= size_eighth; ++k) {
      const double angle = -2.0 * std::numbers::pi * static_cast<double>(k) / size;
      half_twiddle[k] = turn(kLanes * angle);
      FourFloats real = 0.0F;
      FourFloats imaginary = 0.0F;
      for (int lane = 0; lane < kLanes; ++lane) {
        // The factor one half belongs to the first butterfly.
        real.lanes[lane] = static_cast<float>(0.5 * std::cos(lane * angle));
        imaginary.lanes[lane] = static_cast<float>(0.5 * std::sin(lane * angle));
      }
      lane_twiddle[k] = {real, imaginary};
    }
  }

  std::size_t size_eighth;
  kissfft<FourFloats> transform;
  std::vector<ComplexLanes> packed, turned;
  std::vector<ComplexLanes> half_twiddle, lane_twiddle;
};

VectorFft::VectorFft(int size_samples) : size_{size_samples} {
  // With other factors KissFFT would use its general butterfly, which allocates on its first use.
  if (size_samples != fast_fft_size(size_samples)) {
    throw Error{
        "a fast transform takes a multiple of 8, at least 16, made of factors 2, 3 and 5; got " +
        std::to_string(size_samples)};
  }
  plan_ = std::make_unique<Plan>(size_samples);
}

VectorFft::~VectorFft() = default;
VectorFft::VectorFft(VectorFft&&) noexcept = default;
VectorFft& VectorFft::operator=(VectorFft&&) noexcept = default;

void VectorFft::forward(std::span<const float> samples,
                        std::span<std::complex<float>> bins) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  Plan& plan = *plan_;
  const std::size_t eighth = plan.size_eighth;
  std::memcpy(static_cast<void*>(plan.packed.data()), samples.data(), samples.size_bytes());
  plan.transform.transform(plan.packed.data(), plan.turned.data());
  plan.turned[eighth] = plan.turned[0];
  for (std::size_t k = 0; k <= eighth; ++k) {
    const ComplexLanes here = plan.turned[k];
    const ComplexLanes mirrored = std::conj(plan.turned[eighth - k]);
    const ComplexLanes even = here + mirrored;
    const ComplexLanes difference = here - mirrored;
    const ComplexLanes odd{difference.imag(), -difference.real()};
    const ComplexLanes lanes = (even + plan.half_twiddle[k] * odd) * plan.lane_twiddle[k];
    const FourFloats::Lanes real = lanes.real().lanes;
    const FourFloats::Lanes imaginary = lanes.imag().lanes;
    const std::complex<float> sum_even{real[0] + real[2], imaginary[0] + imaginary[2]};
    const std::complex<float> sum_odd{real[1] + real[3], imaginary[1] + imaginary[3]};
    const std::complex<float> turned_even{real[0] - real[2], imaginary[0] - imaginary[2]};
    const std::complex<float> turned_odd{imaginary[1] - imaginary[3], real[3] - real[1]};
    // A spectrum of real samples holds the bins past the middle mirrored.
    bins[k] = sum_even + sum_odd;
    bins[2 * eighth - k] = std::conj(turned_even - turned_odd);
    bins[2 * eighth + k] = turned_even + turned_odd;
    bins[4 * eighth - k] = std::conj(sum_even - sum_odd);
  }
}

}  // namespace brink::base
