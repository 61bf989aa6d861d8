#include "listen/recording.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "base/error.h"
#include "base/printable.h"

namespace brink::listen {
namespace {

bool is_wav(const std::string& path) {
  constexpr std::string_view kEnding = ".wav";
  return path.size() > kEnding.size() &&
         std::equal(kEnding.rbegin(), kEnding.rend(), path.rbegin(), [](char a, char b) {
           return a == std::tolower(static_cast<unsigned char>(b));
         });
}

}  // namespace

Recording::Recording(const std::string& path, double sample_rate_hz, std::size_t tap_count)
    : update_samples_(static_cast<std::int64_t>(sample_rate_hz)), tap_count_(tap_count) {
  if (!is_wav(path)) {
    // Only a WAV can be kept whole while it grows.
    throw base::Error(fmt::format("{}: a recording is a WAV file; choose a name that ends in .wav.",
                                  base::printable(path)));
  }
  writer_.emplace(path, sample_rate_hz, static_cast<int>(tap_count), io::SampleFormat::kFloat);
  writer_->update_header();
}

template <typename Work>
void Recording::guard(const Work& work) {
  if (!writer_) {
    return;
  }
  try {
    work();
  } catch (const base::Error& error) {
    sentence_ = error.what();
    has_fault_.store(true, std::memory_order_release);
    writer_.reset();
  }
}

void Recording::write(std::span<const std::span<const float>> block) {
  guard([&] {
    writer_->write(block);
    unsaid_samples_ += static_cast<std::int64_t>(block.front().size());
    if (unsaid_samples_ >= update_samples_) {
      writer_->update_header();
      unsaid_samples_ = 0;
    }
  });
}

void Recording::write_lost(std::int64_t sample_count) {
  static constexpr std::array<float, 4096> kSilence{};
  while (sample_count > 0) {
    const auto count = std::min<std::int64_t>(sample_count, kSilence.size());
    const std::vector<std::span<const float>> block(
        tap_count_, std::span(kSilence).first(static_cast<std::size_t>(count)));
    write(block);
    sample_count -= count;
  }
}

void Recording::close() {
  guard([&] {
    writer_->close();
    writer_.reset();
  });
}

std::optional<std::string> Recording::fault() const {
  return has_fault_.load(std::memory_order_acquire) ? std::optional(sentence_) : std::nullopt;
}

}  // namespace brink::listen
