#pragma once

#include <array>
#include <vector>

namespace brink::base {

/// The periodic Hann window, w[n] = (1 - cos(2 pi n / size)) / 2. Its sum is size / 2, its sum of
/// squares 3 size / 8. Every spectrum in brink uses it. Its lobe is known in closed form
/// (hann_lobe). Its side lobes fall fast, so that a loud ring does not hide its neighbours.
[[nodiscard]] std::vector<float> hann_window(int size_samples);

/// Magnitude of the window's transform, `offset_bins` away from a steady tone; 1 at the tone. This
/// is the factor by which a bin reads low. sinc(d) / (1 - d^2): the closed form of the periodic
/// window for large sizes.
[[nodiscard]] float hann_lobe(float offset_bins) noexcept;

/// hann_lobe() for the five bins around a tone that lies `offset_bins` (-0.5 to 0.5) from the
/// middle bin: at -2 - offset to 2 - offset. Costs only one sine.
[[nodiscard]] std::array<float, 5> hann_lobes_around(float offset_bins) noexcept;

}  // namespace brink::base
