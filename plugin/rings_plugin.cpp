#include "rings_plugin.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <stdexcept>

namespace brink::plugin {

namespace {

constexpr int kRingsOutput = 0;

}  // namespace

RingsPlugin::RingsPlugin(float sample_rate_hz)
    : Plugin(sample_rate_hz), sample_rate_hz_(static_cast<double>(sample_rate_hz)) {}

bool RingsPlugin::initialise(std::size_t channels, std::size_t step_size, std::size_t block_size) {
  if (channels < getMinChannelCount() || channels > getMaxChannelCount() || block_size == 0 ||
      step_size != block_size) {
    return false;
  }
  held_.assign(channels, std::vector<float>(block_size));
  try {
    reset();
  } catch (const std::invalid_argument& error) {
    std::fprintf(stderr, "brink: %s\n", error.what());
    return false;
  }
  return true;
}

void RingsPlugin::reset() {
  detectors_.clear();
  for (std::size_t channel = 0; channel < held_.size(); ++channel) {
    detectors_.emplace_back(sample_rate_hz_);
  }
  is_holding_ = has_begun_ = false;
}

RingsPlugin::FeatureSet RingsPlugin::process(const float* const* blocks, Vamp::RealTime timestamp) {
  FeatureSet features;
  if (!has_begun_) {
    start_ = timestamp;
    has_begun_ = true;
  }
  if (is_holding_) {
    push_held(held_.front().size(), features);
  }
  for (std::size_t channel = 0; channel < held_.size(); ++channel) {
    std::copy_n(blocks[channel], held_[channel].size(), held_[channel].begin());
  }
  is_holding_ = true;
  return features;
}

RingsPlugin::FeatureSet RingsPlugin::getRemainingFeatures() {
  FeatureSet features;
  if (is_holding_) {
    std::size_t length = 0;  // up to the last sample that is not a filling zero
    for (const std::vector<float>& block : held_) {
      const auto last =
          std::find_if(block.rbegin(), block.rend(), [](float sample) { return sample != 0.0F; });
      length = std::max(length, static_cast<std::size_t>(block.rend() - last));
    }
    push_held(length, features);
    is_holding_ = false;
  }
  for (std::size_t channel = 0; channel < detectors_.size(); ++channel) {
    detectors_[channel].finish();
    take_events(channel, features);
  }
  return features;
}

void RingsPlugin::push_held(std::size_t length, FeatureSet& features) {
  for (std::size_t channel = 0; channel < detectors_.size(); ++channel) {
    detectors_[channel].push(held_[channel].data(), length);
    take_events(channel, features);
  }
}

void RingsPlugin::take_events(std::size_t channel, FeatureSet& features) {
  while (const auto event = detectors_[channel].next_event()) {
    if (event->state == BRINK_GONE && event->flagged_sample != BRINK_NEVER) {
      features[kRingsOutput].push_back(to_region(*event, channel));
    }
  }
}

RingsPlugin::Feature RingsPlugin::to_region(const Event& event, std::size_t channel) const {
  const Cut cut = propose_cut(event);
  Feature region;
  region.hasTimestamp = true;
  region.timestamp = start_ + to_time(event.onset_sample);
  region.hasDuration = true;
  region.duration = to_time(event.ended_sample) - to_time(event.onset_sample);
  for (const double value : {event.frequency_hz,
                             event.growth_db_per_s,
                             event.confidence,
                             cut.centre_hz,
                             cut.q,
                             cut.depth_db,
                             static_cast<double>(channel + 1)}) {
    region.values.push_back(static_cast<float>(value));
  }
  std::array<char, 128> text{};
  std::snprintf(text.data(),
                text.size(),
                "%.0f Hz, grew %.0f dB a second, %.0f %% sure; cut %g Hz by %g dB at Q %g",
                event.frequency_hz,
                event.growth_db_per_s,
                100.0 * event.confidence,
                cut.centre_hz,
                -cut.depth_db,
                cut.q);
  region.label = text.data();
  return region;
}

Vamp::RealTime RingsPlugin::to_time(std::int64_t sample) const {
  return Vamp::RealTime::fromSeconds(static_cast<double>(sample) / sample_rate_hz_);
}

RingsPlugin::OutputList RingsPlugin::getOutputDescriptors() const {
  OutputDescriptor rings;
  rings.identifier = "rings";
  rings.name = "Rings";
  rings.description = "Each ring from its onset to its end";
  rings.unit = "";
  rings.hasFixedBinCount = true;
  rings.binNames = {"Frequency (Hz)",
                    "Growth (dB/s)",
                    "Confidence",
                    "Cut: centre (Hz)",
                    "Cut: Q",
                    "Cut: depth (dB)",
                    "Channel"};
  rings.binCount = rings.binNames.size();
  rings.hasKnownExtents = false;
  rings.isQuantized = false;
  rings.sampleType = OutputDescriptor::VariableSampleRate;
  rings.sampleRate = 0.0F;
  rings.hasDuration = true;
  return {rings};
}

}  // namespace brink::plugin
