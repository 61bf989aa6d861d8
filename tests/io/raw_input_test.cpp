#include "io/live/raw_input.h"

#include <doctest/doctest.h>
#include <unistd.h>

#include <array>
#include <bit>
#include <string>
#include <thread>

#include "base/error.h"
#include "io/file_source.h"
#include "io/sound_file.h"
#include "support/files.h"
#include "support/sounds.h"

using namespace brink;
using io::RawFormat;

namespace {

float decoded(RawFormat format, std::initializer_list<unsigned char> bytes) {
  return io::decode(format, std::data(bytes));
}

/// Everything a source gives, taps in turn, asked for `room` samples at a time.
std::vector<float> all_of(io::Source& source, std::size_t room) {
  std::vector<float> all;
  std::vector<float> samples(room * source.taps().size());
  io::SourceReading reading;
  while (!reading.is_over) {
    reading = source.read(samples);
    all.insert(
        all.end(),
        samples.begin(),
        samples.begin() + static_cast<std::ptrdiff_t>(reading.samples * source.taps().size()));
  }
  return all;
}

/// The reading end of a pipe into which `bytes` go in pieces of `piece`.
class Feed {
 public:
  Feed(std::string bytes, std::size_t piece) : bytes_(std::move(bytes)) {
    REQUIRE(pipe(ends_.data()) == 0);
    writer_ = std::jthread([this, piece] {
      for (std::size_t at = 0; at < bytes_.size(); at += piece) {
        const std::string part = bytes_.substr(at, piece);
        if (write(ends_[1], part.data(), part.size()) < 0) {
          break;
        }
      }
      close(ends_[1]);
    });
  }

  ~Feed() {
    writer_.join();
    close(ends_[0]);
  }

  Feed(const Feed&) = delete;
  Feed& operator=(const Feed&) = delete;
  Feed(Feed&&) = delete;
  Feed& operator=(Feed&&) = delete;

  [[nodiscard]] int descriptor() const { return ends_[0]; }

 private:
  std::string bytes_;
  std::array<int, 2> ends_{-1, -1};
  std::jthread writer_;
};

io::RawInputConfig config_for(int channels, RawFormat format) {
  io::RawInputConfig config;
  config.sample_rate_hz = 48000.0;
  config.channels = channels;
  config.format = format;
  return config;
}

}  // namespace

// Full scale of n bits is 2^(n-1), as in a WAV file; the bytes are written out by hand.
TEST_CASE("raw samples decode to what their bits say") {
  CHECK(decoded(RawFormat::kInt16, {0x00, 0x80}) == -1.0F);
  CHECK(decoded(RawFormat::kInt16, {0xFF, 0x7F}) == 32767.0F / 32768.0F);
  CHECK(decoded(RawFormat::kInt16, {0x01, 0x00}) == 1.0F / 32768.0F);
  CHECK(decoded(RawFormat::kInt24, {0x00, 0x00, 0x80}) == -1.0F);
  CHECK(decoded(RawFormat::kInt24, {0xFF, 0xFF, 0xFF}) == -1.0F / 8388608.0F);
  CHECK(decoded(RawFormat::kInt24, {0x00, 0x00, 0x40}) == 0.5F);
  CHECK(decoded(RawFormat::kInt32, {0x00, 0x00, 0x00, 0xC0}) == -0.5F);
  CHECK(decoded(RawFormat::kFloat32, {0x00, 0x00, 0xC0, 0x3F}) == 1.5F);
  CHECK(io::to_raw_format("s24") == RawFormat::kInt24);
  CHECK_FALSE(io::to_raw_format("u8").has_value());
  CHECK(io::bytes_of(RawFormat::kInt24) == 3);
}

TEST_CASE("a pipe that brings odd pieces gives whole samples of all channels") {
  std::string bytes;
  for (int i = 0; i < 3000; ++i) {
    bytes += static_cast<char>(i & 0xFF);
    bytes += static_cast<char>((i >> 8) & 0xFF);
  }
  bytes += "abc";  // half a sample of three channels
  for (const std::size_t piece : {std::size_t{1}, std::size_t{7}, std::size_t{5000}}) {
    const Feed feed(bytes, piece);
    io::RawInput input(feed.descriptor(), "stdin", config_for(3, RawFormat::kInt16));
    const std::vector<float> all = all_of(input, 64);
    REQUIRE(all.size() == 3000);
    bool is_exact = true;
    for (std::size_t i = 0; i < all.size(); ++i) {
      is_exact = is_exact && all[i] == static_cast<float>(i) / 32768.0F;
    }
    CHECK(is_exact);
    CHECK(input.left_over_bytes() == 3);
  }
}

TEST_CASE("only the taps asked for come out of a raw stream") {
  std::string bytes;
  for (int i = 0; i < 40; ++i) {
    bytes += '\0';
    bytes += static_cast<char>(i);
  }
  const Feed feed(bytes, 11);
  io::RawInputConfig config = config_for(4, RawFormat::kInt16);
  config.taps = {2, 4};
  io::RawInput input(feed.descriptor(), "stdin", config);
  const std::vector<float> all = all_of(input, 3);
  REQUIRE(all.size() == 20);
  CHECK(all[0] == 1.0F / 128.0F);
  CHECK(all[1] == 3.0F / 128.0F);
  CHECK(all[19] == 39.0F / 128.0F);
}

TEST_CASE("a raw stream out of range is refused") {
  io::RawInputConfig config = config_for(2, RawFormat::kFloat32);
  config.sample_rate_hz = 4000.0;
  CHECK_THROWS_AS(io::RawInput(0, "stdin", config), base::Error);
  config = config_for(0, RawFormat::kFloat32);
  CHECK_THROWS_AS(io::RawInput(0, "stdin", config), base::Error);
  config = config_for(2, RawFormat::kFloat32);
  config.taps = {3};
  CHECK_THROWS_AS(io::RawInput(0, "stdin", config), base::Error);
  config.taps = {2, 1};
  CHECK_THROWS_AS(io::RawInput(0, "stdin", config), base::Error);
}

TEST_CASE("a file is a source like any other") {
  const tests::TemporaryDirectory dir;
  const std::vector<float> one = tests::white_noise(0.5, 48000.0, -20.0, 1);
  const std::vector<float> two = tests::white_noise(0.5, 48000.0, -20.0, 2);
  {
    io::SoundWriter writer(dir / "two.wav", 48000.0, 2, io::SampleFormat::kFloat);
    const std::array<std::span<const float>, 2> block{one, two};
    writer.write(block);
    writer.close();
  }
  io::FileSource source(dir / "two.wav");
  CHECK(source.taps() == std::vector<int>{1, 2});
  CHECK_FALSE(source.is_live());
  const std::vector<float> all = all_of(source, 1000);
  REQUIRE(all.size() == 2 * one.size());
  bool is_exact = true;
  for (std::size_t i = 0; i < one.size(); ++i) {
    is_exact = is_exact && all[2 * i] == one[i] && all[2 * i + 1] == two[i];
  }
  CHECK(is_exact);
}
