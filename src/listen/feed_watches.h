#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "listen/feed_watch.h"
#include "listen/forecast.h"

namespace brink::listen {

/// The microphones of a session that are foretold from two taps: with the tap of the output that
/// they are heard through. That is only so with one output among the taps: what several
/// loudspeakers bring to a microphone cannot be told from one of them. [analysis]
class FeedWatches {
 public:
  /// Each costs about 15 % of a core at 48 kHz.
  static constexpr std::size_t kMost = 2;

  /// `taps`: channel numbers. `outputs`: those of them that are no microphones. Only the first
  /// `forecasts` taps get one, and at most kMost.
  FeedWatches(double sample_rate_hz,
              std::span<const int> taps,
              std::span<const int> outputs,
              std::size_t forecasts);

  /// The next samples of all taps, equally long.
  void push(std::span<const std::span<const float>> block);
  /// After a gap.
  void reset();
  /// Ends the stream.
  void finish();

  /// Of tap number `index`, counted from 0: from two taps where these tell more than `alone`, which
  /// is foretold from its tap alone. Where other programme in the feed would deceive one tap, it is
  /// never `alone`.
  [[nodiscard]] Forecast forecast(std::size_t index, const Forecast& alone) const;

 private:
  struct Pair {
    std::size_t microphone;
    FeedWatch watch;
  };

  std::size_t feed_ = 0;  // its index
  std::vector<Pair> pairs_;
};

}  // namespace brink::listen
