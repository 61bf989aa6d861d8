#include "io/file_source.h"

#include <algorithm>
#include <numeric>

namespace brink::io {

FileSource::FileSource(const std::string& path)
    : reader_(path), taps_(static_cast<std::size_t>(reader_.channels())) {
  std::iota(taps_.begin(), taps_.end(), 1);
}

SourceReading FileSource::read(std::span<float> samples) {
  SourceReading reading;
  if (taken_ == available_) {
    taken_ = 0;
    available_ = reader_.next_block() ? reader_.channel(0).size() : 0;
    reading.is_over = available_ == 0;
  }
  const std::size_t channels = taps_.size();
  reading.samples = std::min(available_ - taken_, samples.size() / channels);
  for (std::size_t c = 0; c < channels; ++c) {
    const std::span<const float> channel = reader_.channel(static_cast<int>(c)).subspan(taken_);
    for (std::size_t i = 0; i < reading.samples; ++i) {
      samples[i * channels + c] = channel[i];
    }
  }
  taken_ += reading.samples;
  return reading;
}

}  // namespace brink::io
