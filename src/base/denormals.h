#pragma once

#include <cstdint>

#if defined(__SSE__)
#include <xmmintrin.h>
#endif

namespace brink::base {

/// While one lives, this thread reckons with denormal numbers (below about 1e-38 in 32 bits) as
/// with zero, and leaves none behind. They are 700 dB below full scale, and a processor takes many
/// times longer for each of them. On x86-64 and 64-bit ARM; elsewhere it does nothing.
/// Intel 64 and IA-32 Architectures Software Developer's Manual, volume 1, 10.2.3 (DAZ and FTZ);
/// Arm Architecture Reference Manual, FPCR.FZ. Costs two instructions. [any, also real-time]
class NoDenormals {
 public:
  NoDenormals() noexcept : before_(read()) { write(before_ | kFlush); }

  ~NoDenormals() { write(before_); }

  NoDenormals(const NoDenormals&) = delete;
  NoDenormals& operator=(const NoDenormals&) = delete;
  NoDenormals(NoDenormals&&) = delete;
  NoDenormals& operator=(NoDenormals&&) = delete;

 private:
#if defined(__SSE__)
  static constexpr std::uint64_t kFlush = 0x8040;  // flush to zero, denormals are zero

  static std::uint64_t read() noexcept {
    return _mm_getcsr();
  }

  static void write(std::uint64_t control) noexcept {
    _mm_setcsr(static_cast<unsigned>(control));
  }
#elif defined(__aarch64__)
  static constexpr std::uint64_t kFlush = std::uint64_t{1} << 24U;

  static std::uint64_t read() noexcept {
    std::uint64_t control = 0;
    asm volatile("mrs %0, fpcr" : "=r"(control));
    return control;
  }

  static void write(std::uint64_t control) noexcept {
    asm volatile("msr fpcr, %0" : : "r"(control));
  }
#else
  static constexpr std::uint64_t kFlush = 0;

  static std::uint64_t read() noexcept {
    return 0;
  }

  static void write(std::uint64_t) noexcept {}
#endif

  std::uint64_t before_;
};

}  // namespace brink::base
