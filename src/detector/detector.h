#pragma once

#include <cstdint>
#include <memory>
#include <span>

#include "detector/places.h"
#include "detector/ring.h"

namespace brink::detector {

struct DetectorConfig {
  double sample_rate_hz = 48000.0;  ///< 8000 to 192000
  double sure =
      0.0;  ///< 0 to 0.99: a ring is flagged from this confidence on, never under the usual
};

/// What came in, for a face to show; nothing is hidden or repaired in silence.
struct InputCounts {
  std::int64_t samples = 0;
  std::int64_t non_finite = 0;  ///< NaN and infinity, each replaced by 0
  std::int64_t clipped = 0;     ///< at or beyond full scale
};

/// One track as the brink map draws it.
struct TrackView {
  std::uint64_t track_id = 0;  ///< the same through a track's life; unique within one Detector
  std::uint32_t ring_id = 0;   ///< the Ring that it carries, 0 for none
  RingState state = RingState::kGone;  ///< kGone: nothing of a ring in it so far
  double frequency_hz = 0.0;
  double level_dbfs = 0.0;
  double growth_db_per_s = 0.0;
  double confidence = 0.0;
};

/// Finds rings in one channel of samples as they come.
///
/// Input: samples, full scale +-1, in blocks of any size; the same samples give the same events,
/// bit for bit, however they are cut into blocks. NaN and infinity count as silence and are
/// counted; silence gives no events. An event never depends on samples after its `sample`.
/// Constructing allocates and throws Error on a bad config; everything after is noexcept and
/// neither allocates nor locks. One thread at a time. [analysis]
class Detector {
 public:
  explicit Detector(const DetectorConfig& config);
  ~Detector();
  Detector(Detector&&) noexcept;
  Detector& operator=(Detector&&) noexcept;
  Detector(const Detector&) = delete;
  Detector& operator=(const Detector&) = delete;

  void push(std::span<const float> block, EventSink& sink) noexcept;

  /// The stream is over: every ring still sounding is `gone`. What was heard stays in the windows;
  /// another stream wants another Detector.
  void finish(EventSink& sink) noexcept;

  [[nodiscard]] const InputCounts& counts() const noexcept;

  /// As of the last hop; valid until the next push.
  [[nodiscard]] std::span<const TrackView> tracks() const noexcept;
  /// The memory of the loop: where rings were flagged so far, in the order in which they were
  /// found; valid until the next push.
  [[nodiscard]] std::span<const Place> places() const noexcept;
  /// The newest spectrum for a face, dBFS (a full-scale sine reads 0), on spectrum_hz(); silence
  /// reads kSilenceDb.
  [[nodiscard]] std::span<const float> spectrum_dbfs() const noexcept;
  /// Raises each of `power` to that of the newest spectrum, on spectrum_hz(); a full-scale sine has
  /// 1. So the spectra of several detectors of one rate become one, before spectrum_to_dbfs().
  void join_spectrum(std::span<float> power) const noexcept;
  /// Frequencies of spectrum_dbfs(), rising; fixed for the detector's life.
  [[nodiscard]] std::span<const float> spectrum_hz() const noexcept;
  /// How many samples ago the middle of the window lies that each of spectrum_dbfs() was read from;
  /// fixed for the detector's life. Low frequencies are looked at through longer windows.
  [[nodiscard]] std::span<const float> spectrum_delay_samples() const noexcept;
  /// Samples from one look to the next.
  [[nodiscard]] int hop_samples() const noexcept;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// From power, as from Detector::join_spectrum(), to levels, as from Detector::spectrum_dbfs().
void spectrum_to_dbfs(std::span<float> spectrum) noexcept;

}  // namespace brink::detector
