#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/fft.h"
#include "base/window.h"
#include "loop/open_loop.h"
#include "loop/scene.h"

namespace brink::bench {

// Clips made by the protocol of M. Mounir, G. Bernardi, T. van Waterschoot, "Robust and early
// howling detection based on a sparsity measure", EURASIP J. Audio Speech Music Proc. 2025 (S2), on
// our own stages.

inline constexpr double kRateHz = 16000.0;
inline constexpr std::size_t kHop = 320;      // 50 looks a second
inline constexpr std::size_t kWindow = 1024;  // S2's best for NINOS2-T on speech and on music
inline constexpr double kBinHz = kRateHz / static_cast<double>(kWindow);
inline constexpr double kNearDb = 3.0;

/// The time at which a live listener has heard the last sample of a look.
inline double look_time_s(std::size_t look) {
  return static_cast<double>((look + 1) * kHop) / kRateHz;
}

inline std::size_t bin_below(double frequency_hz) {
  return static_cast<std::size_t>(std::floor(frequency_hz / kBinHz));
}

struct Clip {
  std::vector<float> samples;
  std::vector<float> open;                 // the same with the loop cut open
  double howl_hz = 0.0;                    // the whole-turn frequency that reaches the brink first
  std::vector<loop::Crossing> near_brink;  // howl_hz and all others within kNearDb below it

  [[nodiscard]] std::size_t howl_bin() const { return bin_below(howl_hz); }
};

/// One room from a seed. Its loop is 6 dB below its maximum stable gain until 8 s, and `hold_db`
/// above it from 9 s on. Noise lies 40 dB below the programme. The caller sets the programme's
/// seed.
[[nodiscard]] loop::Scene protocol_scene(std::uint64_t room_seed,
                                         loop::ProgrammeKind kind,
                                         double hold_db);

[[nodiscard]] Clip render_clip(const loop::Scene& scene);

/// S2's authors listened, and left out clips without a howl or with several. This function replaces
/// their ears. A howl is heard if its two bins are at the end kDominantDb above their third-octave
/// with the loop cut open. Frequencies within three bins of each other are one howl.
[[nodiscard]] std::size_t heard_howls(const Clip& clip);

/// Calls use(look, power of the newest window) for each look, from the first full window on.
template <typename Use>
void for_each_look(std::span<const float> samples, const Use& use) {
  base::Fft fft{static_cast<int>(kWindow)};
  const std::vector<float> window = base::hann_window(static_cast<int>(kWindow));
  std::vector<float> windowed(kWindow);
  std::vector<std::complex<float>> bins(kWindow / 2 + 1);
  std::vector<float> power(bins.size());
  for (std::size_t look = 0; (look + 1) * kHop <= samples.size(); ++look) {
    const std::size_t end = (look + 1) * kHop;
    if (end < kWindow) {
      continue;
    }
    for (std::size_t n = 0; n < kWindow; ++n) {
      windowed[n] = window[n] * samples[end - kWindow + n];
    }
    fft.forward(windowed, bins);
    std::transform(
        bins.begin(), bins.end(), power.begin(), [](auto bin) { return std::norm(bin); });
    use(look, power);
  }
}

}  // namespace brink::bench
