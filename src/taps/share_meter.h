#pragma once

#include <complex>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "taps/drives.h"
#include "taps/ring_shares.h"
#include "taps/sends.h"
#include "taps/tap_history.h"

namespace brink::taps {

/// Measures the shares of one ring, again and again while it sounds, and adds the measurements up
/// by their power.
///
/// A ring grows alike on every tap, so the complex levels x on the channels after their faders are
/// the right eigenvector of the loop. A share also depends on where each channel is sent, and on
/// how strongly each output comes back: on the left eigenvector l. It is Re(l x / sum of l x). With
/// the outputs' taps u the sends S are found, and the share is taken as Re(sum over outputs of
/// conj(u) S x) / |u|^2: the left eigenvector is taken to be like the right one, as in a loop of
/// pairs of a wedge and its own microphone. Without them l is what find_drives() tells. [analysis]
class ShareMeter {
 public:
  /// `taps`: must outlive the meter.
  explicit ShareMeter(std::span<const TapInfo> taps);

  /// Looks at the ring over the window that ends before sample `end`.
  void measure(const TapHistory& history,
               double frequency_hz,
               double growth_db_per_s,
               std::int64_t end);

  /// As known so far; empty before measure().
  [[nodiscard]] RingShares shares() const;

  /// Length of the window: separates rings that lie 25 Hz apart (Hann, 4 / length).
  static constexpr double kWindowS = 0.16;
  /// How far back the sends are looked for.
  static constexpr double kSendsS = 1.0;

 private:
  void add_channels(std::span<const std::complex<double>> tones);
  void add_outputs(std::span<const std::complex<double>> tones);

  std::span<const TapInfo> taps_;
  bool has_outputs_;
  std::optional<Sends> sends_;  // with outputs
  std::vector<double> drives_;  // without
  std::vector<double> part_;    // by tap; of microphones and of outputs
  std::vector<double> power_;   // by tap
  double whole_ = 0.0;
  double weight_ = 0.0;
};

}  // namespace brink::taps
