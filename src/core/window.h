#pragma once

#include <vector>

namespace brink::core {

/// The periodic Hann window, w[n] = (1 - cos(2 pi n / size)) / 2. Sum size / 2, sum of squares
/// 3 size / 8. Every spectrum of brink uses it: its lobe is known in closed form (hann_lobe) and
/// its side lobes fall fast, so that a loud ring does not hide its neighbours.
[[nodiscard]] std::vector<float> hann_window(int size_samples);

/// Magnitude of its transform `offset_bins` away from a steady tone, 1 at the tone: the factor by
/// which a bin reads low. sinc(d) / (1 - d^2); closed form of the periodic window for large sizes.
[[nodiscard]] float hann_lobe(float offset_bins) noexcept;

}  // namespace brink::core
