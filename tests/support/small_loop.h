#pragma once

#include <array>

namespace brink::tests {

/// The simplest loop with rings that can be calculated: a pure delay and one resonance with gain 1
/// at its centre. The rings are the roots of 1 = gain * H(z) * z^-delay.
struct SmallLoop {
  double sample_rate_hz = 48000.0;
  int delay_samples = 1280;  ///< once around the loop
  double centre_hz = 1500.0;
  double q = 17.5;

  struct Ring {
    double frequency_hz = 0.0;
    double growth_db_per_s = 0.0;  ///< negative: it decays
  };

  /// Denominator and numerator of H, the band-pass with constant peak gain of R. Bristow-Johnson's
  /// Audio EQ Cookbook (W3C Group Note, 8 June 2021). b1 = 0 and b2 = -b0.
  struct Resonance {
    double b0;
    double a1;
    double a2;
  };

  [[nodiscard]] Resonance resonance() const;

  /// The ring that grows fastest, or decays slowest, at this gain. Newton's method starts at every
  /// frequency near the centre where the phase is about a whole turn.
  [[nodiscard]] Ring leader(double gain_db) const;

  /// The brink: the gain at which the leader neither grows nor decays.
  [[nodiscard]] double brink_gain_db() const;
};

}  // namespace brink::tests
