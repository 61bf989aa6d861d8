#pragma once

#include <complex>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "base/double_fft.h"

namespace brink::listen {

/// A place of the loop that does not ring yet: where it would ring if the gain were raised.
struct ForeseenPlace {
  double frequency_hz = 0.0;
  double frequency_sd_hz = 0.0;
  double left_db = 0.0;  ///< gain that may be added before it rings; 0 or more
  double left_sd_db = 0.0;
  double decay_db_per_s = 0.0;  ///< of a tone there, 0 or more: left_db over the loop's group delay
};

enum class ForecastState : std::uint8_t {
  kWaiting,  ///< not enough heard since the beginning, a gap, or a move of the gain
  kTold,
  kTonal,    ///< the programme repeats itself, or is a voice too far from the brink: no loop can be
             ///< told
  kUnclear,  ///< with a feed: what else is in it does not show enough of the loop
};

/// What a second tap, the feed of the loudspeaker, shows of the loop.
struct FeedView {
  int tap = 0;                ///< channel number of the feed, from 1
  double other_db = 0.0;      ///< other programme in the feed over the microphone's part in it
  double coherence = 0.0;     ///< 0 to 1: share of the microphone's sound that the other programme
                              ///< makes, each moment weighed as in the fit
  double condition_db = 0.0;  ///< from the weakest to the strongest frequency of what it rests on
  double covered = 0.0;       ///< 0 to 1: share of the octaves in which the loop is known
};

/// What will ring next, from running programme alone. Never a ring.
struct Forecast {
  std::int64_t serial = 0;  ///< rises with each new forecast; 0: there was none
  ForecastState state = ForecastState::kWaiting;
  double heard_s = 0.0;               ///< how much sound it rests on
  std::vector<ForeseenPlace> places;  ///< least left_db first, at most kMostPlaces
  std::optional<FeedView> feed;       ///< when it rests on two taps

  /// Makes it the next one, which tells nothing yet.
  void renew();
};

inline constexpr std::size_t kMostPlaces = 8;

/// The gain once around a loop, at even steps: gain[k] at k * step_hz.
struct LoopSpectrum {
  double step_hz = 0.0;
  std::vector<std::complex<double>> gain;
};

/// Of an impulse response, lag 0 first, that is no longer than the transform.
[[nodiscard]] LoopSpectrum to_spectrum(std::span<const double> response,
                                       base::DoubleFft& fft,
                                       double sample_rate_hz);

/// From the estimate over all stretches, and from each stretch alone: what differs between them is
/// the uncertainty. A place that most stretches do not have is left out. Between `low_hz` and
/// `high_hz`.
[[nodiscard]] std::vector<ForeseenPlace> find_places(const LoopSpectrum& whole,
                                                     std::span<const LoopSpectrum> stretches,
                                                     double low_hz,
                                                     double high_hz);

/// How much the stretches differ from the whole: the squared difference of their gains over the
/// square of 1 - gain, which the error of an estimate follows, summed over the frequencies.
[[nodiscard]] double spread(const LoopSpectrum& whole,
                            std::span<const LoopSpectrum> stretches,
                            double low_hz,
                            double high_hz) noexcept;

}  // namespace brink::listen
