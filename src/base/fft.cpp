#include "base/fft.h"

#include <kissfft/kiss_fftr.h>

#include <cassert>
#include <new>
#include <string>

#include "base/error.h"

namespace brink::base {

struct Fft::Plan {
  struct Free {
    void operator()(kiss_fftr_state* plan) const noexcept { kiss_fftr_free(plan); }
  };

  explicit Plan(int size) : state{kiss_fftr_alloc(size, 0, nullptr, nullptr)} {
    if (!state) {
      throw std::bad_alloc{};
    }
  }

  std::unique_ptr<kiss_fftr_state, Free> state;
};

Fft::Fft(int size_samples) : size_{size_samples} {
  if (size_samples < 2 || size_samples % 2 != 0) {
    throw Error{"a transform takes an even number of samples, at least 2; got " +
                std::to_string(size_samples)};
  }
  plan_ = std::make_unique<Plan>(size_samples);
}

Fft::~Fft() = default;
Fft::Fft(Fft&&) noexcept = default;
Fft& Fft::operator=(Fft&&) noexcept = default;

// std::complex<float> and kiss_fft_cpx are both two floats, the real part first. The C++ standard
// guarantees this layout for the former ([complex.numbers]); KissFFT declares it for the latter.
void Fft::forward(std::span<const float> samples, std::span<std::complex<float>> bins) noexcept {
  assert(samples.size() == static_cast<std::size_t>(size_) &&
         bins.size() == static_cast<std::size_t>(bin_count()));
  kiss_fftr(plan_->state.get(), samples.data(), reinterpret_cast<kiss_fft_cpx*>(bins.data()));
}

}  // namespace brink::base
