#pragma once

#include <array>
#include <vector>

namespace brink::base {

/// The periodic Hann window, w[n] = (1 - cos(2 pi n / size)) / 2. Sum size / 2, sum of squares
/// 3 size / 8. Every spectrum of brink uses it: its lobe is known in closed form (hann_lobe) and
/// its side lobes fall fast, so that a loud ring does not hide its neighbours.
[[nodiscard]] std::vector<float> hann_window(int size_samples);

/// Magnitude of its transform `offset_bins` away from a steady tone, 1 at the tone: the factor by
/// which a bin reads low. sinc(d) / (1 - d^2); closed form of the periodic window for large sizes.
[[nodiscard]] float hann_lobe(float offset_bins) noexcept;

/// The five bins around a tone `offset_bins` (-0.5 to 0.5) from the middle one: hann_lobe at -2 -
/// offset to 2 - offset, for the price of one sine.
[[nodiscard]] std::array<float, 5> hann_lobes_around(float offset_bins) noexcept;

}  // namespace brink::base
