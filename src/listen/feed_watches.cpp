#include "listen/feed_watches.h"

#include <algorithm>
#include <cstdint>
#include <utility>

namespace brink::listen {

FeedWatches::FeedWatches(double sample_rate_hz,
                         std::span<const int> taps,
                         std::span<const int> outputs,
                         std::size_t forecasts) {
  const auto is_output = [&](int tap) {
    return std::find(outputs.begin(), outputs.end(), tap) != outputs.end();
  };
  if (std::count_if(taps.begin(), taps.end(), is_output) != 1) {
    return;
  }
  const auto feed = std::find_if(taps.begin(), taps.end(), is_output);
  feed_ = static_cast<std::size_t>(feed - taps.begin());
  for (std::size_t t = 0; t < std::min(forecasts, taps.size()); ++t) {
    if (t != feed_ && pairs_.size() < kMost) {
      pairs_.push_back({t, FeedWatch(sample_rate_hz, *feed)});
    }
  }
}

void FeedWatches::push(std::span<const std::span<const float>> block) {
  for (Pair& pair : pairs_) {
    pair.watch.push(block[pair.microphone], block[feed_]);
  }
}

void FeedWatches::reset() {
  for (Pair& pair : pairs_) {
    pair.watch.reset();
  }
}

void FeedWatches::finish() {
  for (Pair& pair : pairs_) {
    pair.watch.finish();
  }
}

Forecast FeedWatches::forecast(std::size_t index, const Forecast& alone) const {
  const auto pair = std::find_if(
      pairs_.begin(), pairs_.end(), [index](const Pair& one) { return one.microphone == index; });
  if (pair == pairs_.end()) {
    return alone;
  }
  const Forecast& both = pair->watch.forecast();
  const std::int64_t serial = alone.serial + both.serial;  // rises with either
  Forecast told = pair->watch.has_other() ? both : alone;
  told.feed = both.feed;
  told.serial = serial;
  return told;
}

}  // namespace brink::listen
