// The kinds of sound files that others write, whole, cut short and with bytes that are wrong.

#include "support/sound_kinds.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "base/error.h"
#include "io/sound_file.h"
#include "support/files.h"

using namespace brink;
using tests::SoundKind;

namespace {

// Two steps of 16 bits; Vorbis and Opus at the library's usual quality keep a tone of -12 dBFS
// within a few per cent of full scale.
constexpr double kExact = 2.0 / 32768.0;
constexpr double kCoded = 0.05;

constexpr int kRateHz = 48000;
constexpr int kChannels = 2;
constexpr int kSamples = 2 * kRateHz;

/// A tone for each channel, a quarter of full scale.
float tone(int channel, int sample) {
  const double hz = channel == 0 ? 440.0 : 1000.0;
  return static_cast<float>(0.25 * std::sin(2.0 * std::numbers::pi * hz * sample / kRateHz));
}

std::string written(const tests::TemporaryDirectory& folder, const SoundKind& kind) {
  std::vector<float> mixed;
  for (int i = 0; i < kSamples; ++i) {
    mixed.push_back(tone(0, i));
    mixed.push_back(tone(1, i));
  }
  tests::write_sound_kind(folder / kind.name, kind, kChannels, mixed);
  return folder / kind.name;
}

/// The rest of it, at most ten seconds: a damaged header may promise days.
std::vector<std::vector<float>> read_some(io::SoundReader& reader) {
  std::vector<std::vector<float>> channels(static_cast<std::size_t>(reader.channels()));
  while (channels.front().size() < 10 * kRateHz && reader.next_block()) {
    for (std::size_t c = 0; c < channels.size(); ++c) {
      const auto block = reader.channel(static_cast<int>(c));
      channels[c].insert(channels[c].end(), block.begin(), block.end());
    }
  }
  return channels;
}

}  // namespace

TEST_CASE("each kind of file reads as what was written, from its start and from its middle") {
  const tests::TemporaryDirectory folder;
  for (const SoundKind& kind : tests::sound_kinds()) {
    CAPTURE(std::string(kind.name));
    io::SoundReader reader(written(folder, kind));
    CHECK(reader.sample_rate_hz() == kRateHz);
    CHECK(reader.promised_samples() == kSamples);
    const auto channels = read_some(reader);
    CHECK(reader.shortfall().empty());
    REQUIRE(channels.size() == kChannels);
    REQUIRE(channels.front().size() == kSamples);
    double largest = 0.0;
    // A codec settles in its first and last hundredths of a second.
    for (int i = kRateHz / 20; i < kSamples - kRateHz / 20; ++i) {
      for (int c = 0; c < kChannels; ++c) {
        const float read = channels[static_cast<std::size_t>(c)][static_cast<std::size_t>(i)];
        largest = std::max(largest, static_cast<double>(std::abs(read - tone(c, i))));
      }
    }
    const double largest_error = kind.is_coded ? kCoded : kExact;
    CHECK(largest < largest_error);
    io::SoundReader again(folder / kind.name);
    REQUIRE(again.skip_to(kRateHz));
    const auto rest = read_some(again);
    REQUIRE(rest.front().size() == kSamples - kRateHz);
    CHECK(std::abs(rest.front()[kRateHz / 2] -
                   channels.front()[static_cast<std::size_t>(kRateHz + kRateHz / 2)]) <
          largest_error);
  }
}

TEST_CASE("each kind that was cut short is read as far as it goes and says so, or is refused") {
  const tests::TemporaryDirectory folder;
  for (const SoundKind& kind : tests::sound_kinds()) {
    const std::string whole = tests::read_bytes(written(folder, kind));
    for (const double share : {0.001, 0.01, 0.1, 0.5, 0.9, 0.999}) {
      CAPTURE(std::string(kind.name));
      CAPTURE(share);
      const auto length = static_cast<std::size_t>(share * static_cast<double>(whole.size()));
      const std::string path = folder / (std::string("cut_") + kind.name);
      tests::write_bytes(path, whole.substr(0, length));
      try {
        io::SoundReader reader(path);
        const std::size_t read = read_some(reader).front().size();
        CHECK(read <= kSamples);
        CHECK(reader.shortfall().find(path) == 0);
        if (share >= 0.5 && !kind.is_coded) {
          CHECK(read > 0.95 * share * kSamples - kRateHz / 5);  // but for one block of FLAC
        }
      } catch (const base::Error& refusal) {
        CHECK(std::string(refusal.what()).find(path) == 0);
        // A page of Ogg holds a second of a tone, so half of this file may have none; the sound
        // library does not open a CAF whose samples are not all there.
        const bool is_caf = std::string(kind.name) == "a.caf";
        CHECK((is_caf || share < (kind.is_coded ? 0.9 : 0.1)));
      }
    }
  }
}

TEST_CASE("wrong bytes anywhere in a file give samples or one sentence, never more") {
  const tests::TemporaryDirectory folder;
  std::mt19937 random(1);
  for (const SoundKind& kind : tests::sound_kinds()) {
    const std::string whole = tests::read_bytes(written(folder, kind));
    int refused = 0;
    for (int round = 0; round < 60; ++round) {
      std::string bytes = whole;
      // Half of the rounds damage what describes the sound, the others anything.
      const std::size_t most =
          round % 2 == 0 ? std::min<std::size_t>(bytes.size(), 120) : bytes.size();
      for (int i = 0; i < 4; ++i) {
        bytes[random() % most] = static_cast<char>(random());
      }
      const std::string path = folder / (std::string("bad_") + kind.name);
      tests::write_bytes(path, bytes);
      CAPTURE(std::string(kind.name));
      CAPTURE(round);
      try {
        io::SoundReader reader(path);
        CHECK(reader.channels() >= 1);
        CHECK(reader.channels() <= io::kMostChannels);
        (void)read_some(reader);
        (void)reader.shortfall();
      } catch (const base::Error& refusal) {
        ++refused;
        CHECK(std::string(refusal.what()).find(path) == 0);
        CHECK(std::string(refusal.what()).find('\n') == std::string::npos);
      }
    }
    CHECK(refused > 0);
    CHECK(refused < 60);
  }
}
