#include "listen/ring_gatherer.h"

#include <algorithm>
#include <tuple>

#include "io/sound_file.h"

namespace brink::listen {
namespace {

void sort_rings(std::vector<FoundRing>& rings) {
  const auto key = [](const FoundRing& found) {
    return std::tuple(found.ring.onset_sample, found.channel, found.ring.id);
  };
  std::sort(
      rings.begin(), rings.end(), [&](const auto& a, const auto& b) { return key(a) < key(b); });
}

std::vector<taps::TapInfo> tap_infos(const std::vector<ChannelLine>& lines,
                                     const AnalysisOptions& options) {
  const std::vector<int> outputs = options.names.outputs();
  std::vector<taps::TapInfo> infos;
  for (const ChannelLine& line : lines) {
    const bool is_output = std::find(outputs.begin(), outputs.end(), line.channel) != outputs.end();
    infos.push_back(
        {line.channel, is_output ? taps::TapRole::kOutput : taps::TapRole::kMicrophone});
  }
  return infos;
}

}  // namespace

RingGatherer::RingGatherer(const std::vector<ChannelLine>& lines,
                           double sample_rate_hz,
                           const AnalysisOptions& options)
    : keeps_unsure_{options.wants_unsure},
      pending_(lines.size()),
      rings_{sample_rate_hz, tap_infos(lines, options)},
      list_{options.wants_unsure} {
  for (const ChannelLine& line : lines) {
    channels_.push_back(line.channel);
  }
}

void RingGatherer::collect(std::vector<ChannelLine>& lines) {
  for (std::size_t tap = 0; tap < lines.size(); ++tap) {
    std::vector<detector::RingEvent>& events = lines[tap].events;
    pending_[tap].insert(pending_[tap].end(), events.begin(), events.end());
    events.clear();
  }
}

void RingGatherer::hear(std::span<const std::span<const float>> channels) {
  const auto samples =
      channels.empty() ? std::int64_t{0} : static_cast<std::int64_t>(channels.front().size());
  for (std::int64_t at = 0; at < samples;) {
    const auto count = std::min<std::int64_t>(samples - at, io::SoundReader::kBlockSamples);
    heard_ += count;
    std::vector<std::span<const float>> block;
    for (const std::span<const float> channel : channels) {
      block.push_back(
          channel.subspan(static_cast<std::size_t>(at), static_cast<std::size_t>(count)));
    }
    take();
    rings_.hear(block);
    settle();
    at += count;
  }
  for (std::size_t tap = 0; tap < channels_.size(); ++tap) {
    const int original = rings_.copies().copy_of(tap);
    if (original >= 0) {
      copies_[tap] = channels_[static_cast<std::size_t>(original)];
    }
  }
}

void RingGatherer::finish(std::vector<ChannelLine>& lines) {
  collect(lines);
  ++heard_;  // above every event's sample
  take();
  settle();
}

/// The events up to now. They are in order.
void RingGatherer::take() {
  for (std::size_t tap = 0; tap < pending_.size(); ++tap) {
    std::vector<detector::RingEvent>& events = pending_[tap];
    const auto end = std::find_if(
        events.begin(), events.end(), [&](const auto& event) { return event.sample > heard_; });
    for (auto event = events.begin(); event != end; ++event) {
      rings_.take(tap, *event);
    }
    events.erase(events.begin(), end);
  }
}

void RingGatherer::settle() {
  for (const taps::TapRingEvent& event : rings_.settle()) {
    list_.on_event({event.sample, event.ring});
    if (detector::is_over(event.ring.state) && !keeps_unsure_ && !show::was_certain(event.ring)) {
      told_.erase(event.ring.id);  // suspicions are many
    } else {
      told_[event.ring.id] = {event.channel, event.shares};
    }
  }
}

void RingGatherer::gather(const std::vector<ChannelLine>& lines, Analysis& analysis) const {
  for (std::size_t tap = 0; tap < lines.size(); ++tap) {
    const auto copy = copies_.find(tap);
    analysis.analysed.push_back({lines[tap].channel,
                                 lines[tap].detector.counts(),
                                 copy == copies_.end() ? 0 : copy->second,
                                 lines[tap].is_silent});
  }
  const std::vector<detector::Ring> rings = list_.rings();
  analysis.rings.reserve(rings.size());  // growing by steps would take twice as much
  for (const detector::Ring& ring : rings) {
    const bool was_withdrawn = ring.state == detector::RingState::kWithdrawn;
    auto& list = was_withdrawn             ? analysis.withdrawn
                 : show::was_certain(ring) ? analysis.rings
                                           : analysis.unsure;
    const Told& told = told_.at(ring.id);
    list.push_back({told.channel, ring, {}, told.shares});
  }
  sort_rings(analysis.rings);
  sort_rings(analysis.withdrawn);
  sort_rings(analysis.unsure);
}

}  // namespace brink::listen
