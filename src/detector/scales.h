#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "detector/decimator.h"
#include "detector/long_window.h"
#include "detector/slope_fit.h"
#include "detector/spectrum.h"
#include "detector/tracks.h"

namespace brink::detector {

/// Looks that a line through a track's looks goes through at most: a second at a hop of 16 ms.
inline constexpr int kMaxSlopeLooks = 64;

/// One window length at one sample rate: what the detector looks through.
struct Scale {
  Spectrum spectrum;
  Tracks tracks;
  SlopeFit slope;             ///< for lines through its looks
  int halvings = 0;           ///< of the sample rate before it
  float lowest_hz = 0.0F;     ///< where this scale is the one that speaks for a frequency,
  float highest_hz = 0.0F;    ///< when neighbouring scales see it too
  double decimation_s = 0.0;  ///< what the decimators before it hold back

  [[nodiscard]] float window_s() const noexcept {
    return static_cast<float>(1.0 / spectrum.bin_width_hz());
  }

  /// From the middle of the newest window to the newest sample.
  [[nodiscard]] double delay_s() const noexcept {
    return 0.5 / spectrum.bin_width_hz() + decimation_s;
  }

  /// Bins of the band that this scale speaks for: from first_bin() to before end_bin().
  [[nodiscard]] std::size_t first_bin() const noexcept;
  [[nodiscard]] std::size_t end_bin() const noexcept;
  /// Power of that band.
  [[nodiscard]] float total_power() const noexcept;
};

/// The stream through several window lengths at once, each at the lowest rate that its band allows.
/// Long windows tell neighbours apart where rooms have them a few Hz from each other; short ones
/// follow the fast growth that only high frequencies have. Constructing allocates, advance() does
/// not. [analysis]
class Scales {
 public:
  /// `sample_rate_hz`: 8000 to 192000.
  explicit Scales(double sample_rate_hz);

  /// Samples from one look to the next: 16 ms, rounded so that it is whole at every rate.
  [[nodiscard]] int hop_samples() const noexcept { return hop_samples_; }

  /// Takes exactly hop_samples() finite samples; spectra and tracks of every scale look once more.
  void advance(std::span<const float> hop) noexcept;

  [[nodiscard]] std::span<Scale> all() noexcept { return scales_; }

  [[nodiscard]] std::span<const Scale> all() const noexcept { return scales_; }

  [[nodiscard]] const LongWindow& long_window() const noexcept { return long_window_; }

 private:
  int hop_samples_;
  std::vector<Decimator> decimators_;
  std::vector<Scale> scales_;
  int long_window_halvings_;
  LongWindow long_window_;
};

}  // namespace brink::detector
