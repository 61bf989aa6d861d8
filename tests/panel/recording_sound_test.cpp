#include "panel/recording/recording_sound.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "base/error.h"
#include "io/sound_file.h"
#include "support/files.h"

using namespace brink;
using namespace brink::panel;

namespace {

constexpr double kRateHz = 8000.0;
constexpr int kSamples = 62 * 8000;  // longer than a piece

/// Sample i of channel c is a number of its own that 16 bit hold exactly.
float sample_at(int channel, std::int64_t i) {
  return static_cast<float>((i * 7 + channel * 1000) % 30000) / 32768.0F;
}

void write_two_channels(const std::string& path) {
  std::array<std::vector<float>, 2> channels;
  for (int i = 0; i < kSamples; ++i) {
    channels[0].push_back(sample_at(1, i));
    channels[1].push_back(sample_at(2, i));
  }
  io::SoundWriter writer(path, kRateHz, 2, io::SampleFormat::kInt16);
  const std::array<std::span<const float>, 2> block{channels[0], channels[1]};
  writer.write(block);
  writer.close();
}

}  // namespace

TEST_CASE("a ring is heard from exactly a second before its onset") {
  listen::Analysis analysis;
  analysis.file = "show.wav";
  analysis.sample_rate_hz = 44100.0;
  listen::FoundRing found;
  found.channel = 3;
  found.ring.onset_sample = 100000;
  CHECK(piece_before(analysis, found) == RecordingPiece{"show.wav", 3, 55900});
  found.ring.onset_sample = 44099;  // not a second old
  CHECK(piece_before(analysis, found) == RecordingPiece{"show.wav", 3, 0});
}

TEST_CASE("a piece is that channel's samples from that place on, a minute at most") {
  const tests::TemporaryDirectory folder;
  for (const char* name : {"show.wav", "show.flac"}) {
    const std::string path = folder / name;
    write_two_channels(path);
    for (const std::int64_t from : {0, 1, 4096, 12345, kSamples - 5}) {
      for (const int channel : {1, 2}) {
        CAPTURE(name);
        CAPTURE(from);
        const PieceSamples piece = read_piece({path, channel, from});
        CHECK(piece.sample_rate_hz == kRateHz);
        const auto minute = static_cast<std::int64_t>(RecordingPiece::kLongestS * kRateHz);
        const std::int64_t expected = std::min(minute, kSamples - from);
        REQUIRE(static_cast<std::int64_t>(piece.samples.size()) == expected);
        std::int64_t wrong = 0;
        for (std::int64_t i = 0; i < expected; ++i) {
          wrong +=
              piece.samples[static_cast<std::size_t>(i)] == sample_at(channel, from + i) ? 0 : 1;
        }
        CHECK(wrong == 0);
      }
    }
  }
}

TEST_CASE("a file that is no longer what it was is one sentence") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "show.wav";
  write_two_channels(path);
  for (const RecordingPiece& gone : {RecordingPiece{path, 1, kSamples + 10},
                                     RecordingPiece{path, 3, 0},
                                     RecordingPiece{folder / "other.wav", 1, 0}}) {
    std::string sentence;
    try {
      static_cast<void>(read_piece(gone));
    } catch (const base::Error& error) {
      sentence = error.what();
    }
    CHECK(sentence.find(std::filesystem::path(gone.path).filename().string()) != std::string::npos);
  }
}
