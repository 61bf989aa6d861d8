#include "io/live/raw_input.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <numeric>
#include <utility>

#include "base/error.h"
#include "io/sound_file.h"

namespace brink::io {
namespace {

using base::Error;

struct Word {
  std::string_view word;
  RawFormat format;
  std::size_t bytes;
};

constexpr std::array kWords{Word{"f32", RawFormat::kFloat32, 4},
                            Word{"s16", RawFormat::kInt16, 2},
                            Word{"s24", RawFormat::kInt24, 3},
                            Word{"s32", RawFormat::kInt32, 4}};

void check(const RawInputConfig& config) {
  if (!(config.sample_rate_hz >= kLowestRateHz && config.sample_rate_hz <= kHighestRateHz)) {
    throw Error(fmt::format("A sample rate of {:g} Hz was given; brink takes {:.0f} to {:.0f} Hz.",
                            config.sample_rate_hz,
                            kLowestRateHz,
                            kHighestRateHz));
  }
  if (config.channels < 1 || config.channels > kMostChannels) {
    throw Error(fmt::format(
        "{} channels were given; brink takes 1 to {}.", config.channels, kMostChannels));
  }
  const bool are_rising =
      std::adjacent_find(config.taps.begin(), config.taps.end(), std::greater_equal<>()) ==
      config.taps.end();
  if (!are_rising || config.taps.front() < 1 || config.taps.back() > config.channels) {
    throw Error(fmt::format("The taps must be different channels from 1 to {}.", config.channels));
  }
}

}  // namespace

std::optional<RawFormat> to_raw_format(std::string_view word) noexcept {
  const auto* const found =
      std::find_if(kWords.begin(), kWords.end(), [&](const Word& w) { return w.word == word; });
  return found == kWords.end() ? std::nullopt : std::optional(found->format);
}

std::size_t bytes_of(RawFormat format) noexcept {
  return kWords[static_cast<std::size_t>(format)].bytes;
}

float decode(RawFormat format, const unsigned char* bytes) noexcept {
  std::uint32_t bits = 0;
  // Puts the sample's most significant byte at the top, whatever its width.
  for (std::size_t i = 0; i < bytes_of(format); ++i) {
    bits = (bits >> 8U) | (std::uint32_t{bytes[i]} << 24U);
  }
  if (format == RawFormat::kFloat32) {
    return std::bit_cast<float>(bits);
  }
  constexpr float kFullScale = 2147483648.0F;  // 2^31
  return static_cast<float>(std::bit_cast<std::int32_t>(bits)) / kFullScale;
}

RawInput::RawInput(int descriptor, std::string name, RawInputConfig config)
    : input_(descriptor), name_(std::move(name)), config_(std::move(config)) {
  if (config_.taps.empty()) {
    config_.taps.resize(static_cast<std::size_t>(std::max(0, config_.channels)));
    std::iota(config_.taps.begin(), config_.taps.end(), 1);
  }
  if (config_.taps.empty()) {
    config_.taps = {0};  // check() refuses this
  }
  check(config_);
}

/// Reads once, up to `wanted_bytes` in all. Returns false at the end.
bool RawInput::fill(std::size_t wanted_bytes) {
  bytes_.resize(std::max(bytes_.size(), wanted_bytes));
  std::size_t count = 0;
  const auto outcome =
      input_.read(bytes_.data() + byte_count_, wanted_bytes - byte_count_, kLongestWaitMs, count);
  byte_count_ += count;
  return outcome != WaitedInput::Outcome::kEnd;
}

SourceReading RawInput::read(std::span<float> samples) {
  const auto channels = static_cast<std::size_t>(config_.channels);
  const std::size_t width = bytes_of(config_.format);
  const std::size_t stride = channels * width;
  const std::size_t most = samples.size() / config_.taps.size();
  SourceReading reading;
  reading.is_over = !fill(std::max(byte_count_, most * stride));
  reading.samples = std::min(most, byte_count_ / stride);
  auto place = samples.begin();
  for (std::size_t i = 0; i < reading.samples; ++i) {
    for (const int tap : config_.taps) {
      const std::size_t at = i * stride + static_cast<std::size_t>(tap - 1) * width;
      *place++ = decode(config_.format, bytes_.data() + at);
    }
  }
  const std::size_t used = reading.samples * stride;
  std::copy(bytes_.begin() + static_cast<std::ptrdiff_t>(used),
            bytes_.begin() + static_cast<std::ptrdiff_t>(byte_count_),
            bytes_.begin());
  byte_count_ -= used;
  return reading;
}

}  // namespace brink::io
