#include "base/fft.h"

#include <kissfft/kiss_fftr.h>

#include <cassert>
#include <new>
#include <string>

#include "base/error.h"

namespace brink::base {

namespace {

struct FreePlan {
  void operator()(kiss_fftr_state* plan) const noexcept { kiss_fftr_free(plan); }
};

using Plan = std::unique_ptr<kiss_fftr_state, FreePlan>;

Plan make_plan(int size, bool is_inverse) {
  Plan plan{kiss_fftr_alloc(size, is_inverse ? 1 : 0, nullptr, nullptr)};
  if (!plan) {
    throw std::bad_alloc{};
  }
  return plan;
}

}  // namespace

struct Fft::Plans {
  Plan forward;
  Plan inverse;
};

int fast_fft_size(int least_samples) noexcept {
  return kiss_fftr_next_fast_size_real(least_samples);
}

Fft::Fft(int size_samples) : size_{size_samples} {
  if (size_samples < 2 || size_samples % 2 != 0) {
    throw Error{"a transform takes an even number of samples, at least 2; got " +
                std::to_string(size_samples)};
  }
  plans_ =
      std::make_unique<Plans>(Plans{make_plan(size_samples, false), make_plan(size_samples, true)});
}

Fft::~Fft() = default;
Fft::Fft(Fft&&) noexcept = default;
Fft& Fft::operator=(Fft&&) noexcept = default;

// std::complex<float> and kiss_fft_cpx are both two floats, the real part first. The C++ standard
// guarantees this layout for the former ([complex.numbers]); KissFFT declares it for the latter.
void Fft::forward(std::span<const float> samples, std::span<std::complex<float>> bins) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  kiss_fftr(plans_->forward.get(), samples.data(), reinterpret_cast<kiss_fft_cpx*>(bins.data()));
}

void Fft::inverse(std::span<const std::complex<float>> bins, std::span<float> samples) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  kiss_fftri(
      plans_->inverse.get(), reinterpret_cast<const kiss_fft_cpx*>(bins.data()), samples.data());
}

}  // namespace brink::base
