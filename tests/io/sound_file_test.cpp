#include "io/sound_file.h"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmath>
#include <limits>
#include <random>

#include "base/error.h"
#include "support/files.h"
#include "support/skip.h"

using namespace brink;
using io::SampleFormat;
using io::SoundReader;
using io::SoundWriter;
using tests::RawWav;
using tests::TemporaryDirectory;

namespace {

using Channels = std::vector<std::vector<float>>;

Channels noise(int channels, std::size_t length) {
  std::mt19937 random(7);
  Channels all(static_cast<std::size_t>(channels), std::vector<float>(length));
  for (auto& channel : all) {
    for (float& sample : channel) {
      sample = static_cast<float>(static_cast<double>(random()) / 4294967296.0 * 1.8 - 0.9);
    }
  }
  return all;
}

void write_file(const std::string& path,
                const Channels& channels,
                SampleFormat format,
                double sample_rate_hz = 48000.0) {
  SoundWriter writer(path, sample_rate_hz, static_cast<int>(channels.size()), format);
  const std::size_t length = channels.front().size();
  constexpr std::size_t kStep = 1000;  // no divisor of the reader's block
  for (std::size_t at = 0; at < length; at += kStep) {
    std::vector<std::span<const float>> block;
    for (const auto& channel : channels) {
      block.push_back(std::span(channel).subspan(at, std::min(kStep, length - at)));
    }
    writer.write(block);
  }
  writer.close();
}

Channels read_file(SoundReader& reader) {
  Channels all(static_cast<std::size_t>(reader.channels()));
  while (reader.next_block()) {
    for (int c = 0; c < reader.channels(); ++c) {
      const auto block = reader.channel(c);
      auto& own = all[static_cast<std::size_t>(c)];
      own.insert(own.end(), block.begin(), block.end());
    }
  }
  return all;
}

double largest_difference(const Channels& a, const Channels& b) {
  REQUIRE(a.size() == b.size());
  double largest = 0.0;
  for (std::size_t c = 0; c < a.size(); ++c) {
    REQUIRE(a[c].size() == b[c].size());
    for (std::size_t i = 0; i < a[c].size(); ++i) {
      largest =
          std::max(largest, std::abs(static_cast<double>(a[c][i]) - static_cast<double>(b[c][i])));
    }
  }
  return largest;
}

std::string refusal(const std::string& path) {
  try {
    const SoundReader reader(path);
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

/// One sentence: it names the file and ends where a sentence ends.
void check_refusal(const std::string& path, const std::string& part) {
  const std::string sentence = refusal(path);
  CAPTURE(sentence);
  CHECK(sentence.find(part) != std::string::npos);
  CHECK(sentence.rfind(path, 0) == 0);
  CHECK(sentence.back() == '.');
  CHECK(sentence.find('\n') == std::string::npos);
}

}  // namespace

TEST_CASE("what is written is read back, each channel in its place") {
  struct Kind {
    const char* name;
    SampleFormat format;
    int channels;
    double tolerance_lin;
  };

  // A whole-number format of b bits errs by at most one step, 2^(1 - b); float by nothing.
  constexpr double kStep16 = 1.0 / 32768.0;
  constexpr double kStep24 = 1.0 / 8388608.0;
  const TemporaryDirectory dir;
  for (const Kind& kind : {Kind{"mono.wav", SampleFormat::kFloat, 1, 0.0},
                           Kind{"stereo.WAV", SampleFormat::kInt16, 2, kStep16},
                           Kind{"many.wav", SampleFormat::kInt24, 64, kStep24},
                           Kind{"mono.flac", SampleFormat::kInt16, 1, kStep16},
                           Kind{"eight.FLAC", SampleFormat::kInt24, 8, kStep24}}) {
    CAPTURE(kind.name);
    const Channels sent = noise(kind.channels, 10007);
    write_file(dir / kind.name, sent, kind.format, 44100.0);
    SoundReader reader(dir / kind.name);
    CHECK(reader.sample_rate_hz() == 44100.0);
    CHECK(reader.channels() == kind.channels);
    CHECK(reader.promised_samples() == 10007);
    CHECK(largest_difference(read_file(reader), sent) <= kind.tolerance_lin);
    CHECK(reader.samples_read() == 10007);
    CHECK(reader.shortfall().empty());
  }
}

TEST_CASE("a WAV made by hand reads as its bytes say") {
  const TemporaryDirectory dir;
  RawWav wav;
  wav.channels = 2;
  wav.sample_rate_hz = 96000;
  wav.samples = {0.25F, -0.5F, 1.5F, std::numeric_limits<float>::quiet_NaN()};
  tests::write_bytes(dir / "hand.wav", wav.bytes());
  SoundReader reader(dir / "hand.wav");
  CHECK(reader.sample_rate_hz() == 96000.0);
  REQUIRE(reader.next_block());
  REQUIRE(reader.channel(0).size() == 2);
  CHECK(reader.channel(0)[0] == 0.25F);
  CHECK(reader.channel(0)[1] == 1.5F);
  CHECK(reader.channel(1)[0] == -0.5F);
  CHECK(std::isnan(reader.channel(1)[1]));
  CHECK_FALSE(reader.next_block());
  CHECK(reader.channel(0).empty());
}

// Source: AIFF 1.3 (1989): FORM, COMM with an 80-bit sample rate, SSND; big-endian throughout.
TEST_CASE("an AIFF made by hand reads as its bytes say, cut short or whole") {
  const TemporaryDirectory dir;
  std::string aiff(
      "FORM\0\0\0\x36"
      "AIFFCOMM\0\0\0\x12"
      "\0\x01"
      "\0\0\0\x04"
      "\0\x10",
      28);
  aiff +=
      std::string("\x40\x0E\xBB\x80\0\0\0\0\0\0", 10);  // 48000 = 0xBB80 * 2^(0x400E - 0x3FFF - 15)
  aiff += std::string("SSND\0\0\0\x10\0\0\0\0\0\0\0\0", 16);
  aiff += std::string("\x40\0\xC0\0\x20\0\xE0\0", 8);
  tests::write_bytes(dir / "hand.aiff", aiff);
  SoundReader reader(dir / "hand.aiff");
  CHECK(reader.sample_rate_hz() == 48000.0);
  const Channels read = read_file(reader);
  CHECK(read == Channels{{0.5F, -0.5F, 0.25F, -0.25F}});
  CHECK(reader.shortfall().empty());

  tests::write_bytes(dir / "short.aiff", aiff.substr(0, aiff.size() - 4));
  SoundReader cut(dir / "short.aiff");
  CHECK(read_file(cut) == Channels{{0.5F, -0.5F}});
  CHECK(cut.promised_samples() == 4);
  CHECK(cut.shortfall().find("cut short") != std::string::npos);

  std::string slow = aiff;
  slow[29] = '\x0A';  // exponent four less: 3000 Hz
  tests::write_bytes(dir / "slow.aiff", slow);
  check_refusal(dir / "slow.aiff", "3000 Hz");
}

TEST_CASE("files that are no recordings are refused in one sentence") {
  const TemporaryDirectory dir;
  check_refusal(dir / "missing.wav", "no such file");
  check_refusal(dir / "", "directory");
  check_refusal("/dev/null", "no regular file");
  tests::write_bytes(dir / "empty.wav", "");
  check_refusal(dir / "empty.wav", "empty");
  tests::write_bytes(dir / "text.wav", "dear colleague, the wedge rings at 2.6 k\n");
  check_refusal(dir / "text.wav", "no WAV, W64, FLAC, AIFF, CAF or Ogg");
  tests::write_bytes(dir / "short.wav", "RIFF");
  check_refusal(dir / "short.wav", "no WAV, W64, FLAC, AIFF, CAF or Ogg");
  tests::write_bytes(dir / "stub.flac", "fLaC and then something else altogether");
  check_refusal(dir / "stub.flac", "");
  tests::write_bytes(dir / "stub.aiff",
                     std::string("FORM\0\0\0\x04"
                                 "AIFF",
                                 12));
  check_refusal(dir / "stub.aiff", "damaged");
}

TEST_CASE("headers out of range are refused in one sentence") {
  const TemporaryDirectory dir;
  const auto check = [&](unsigned channels, unsigned rate_hz, const std::string& part) {
    RawWav wav;
    wav.channels = channels;
    wav.sample_rate_hz = rate_hz;
    wav.samples.assign(650, 0.1F);
    tests::write_bytes(dir / "odd.wav", wav.bytes());
    check_refusal(dir / "odd.wav", part);
  };
  check(0, 48000, "0 channels");
  check(65, 48000, "65 channels");
  check(1, 0, "sample rate of 0 Hz");
  check(1, 7999, "7999 Hz");
  check(1, 192001, "192001 Hz");
  check(1, 0xFFFFFFFF, "4294967295 Hz");
  RawWav none;
  tests::write_bytes(dir / "none.wav", none.bytes());
  check_refusal(dir / "none.wav", "no samples");
}

TEST_CASE("the limits themselves are taken") {
  const TemporaryDirectory dir;
  for (const auto& [channels, rate_hz] : {std::pair{64U, 8000U}, std::pair{1U, 192000U}}) {
    RawWav wav;
    wav.channels = channels;
    wav.sample_rate_hz = rate_hz;
    wav.samples.assign(640, 0.1F);
    tests::write_bytes(dir / "edge.wav", wav.bytes());
    CHECK(SoundReader(dir / "edge.wav").channels() == static_cast<int>(channels));
  }
}

TEST_CASE("a file without permission to read is refused") {
  const TemporaryDirectory dir;
  RawWav wav;
  wav.samples.assign(100, 0.1F);
  tests::write_bytes(dir / "locked.wav", wav.bytes());
  REQUIRE(chmod((dir / "locked.wav").c_str(), 0) == 0);
  REQUIRE(chmod((dir / "").c_str(), 0755) == 0);
  constexpr uid_t kNobody = 65534;  // root reads everything, so stop being root for a moment
  const bool is_root = geteuid() == 0;
  if (is_root && seteuid(kNobody) != 0) {
    tests::skip("this machine does not let root become another user");
    return;
  }
  const std::string sentence = refusal(dir / "locked.wav");
  if (is_root) {
    REQUIRE(seteuid(0) == 0);
  }
  CHECK(sentence.find("no permission") != std::string::npos);
}

TEST_CASE("a recording that was cut short is read as far as it goes, and says so") {
  const TemporaryDirectory dir;
  SUBCASE("WAV") {
    RawWav wav;
    wav.samples.assign(48000, 0.1F);
    tests::write_bytes(dir / "cut.wav", wav.bytes().substr(0, 44 + 24000 * 4));
    SoundReader reader(dir / "cut.wav");
    CHECK(reader.promised_samples() == 48000);
    CHECK(read_file(reader).front().size() == 24000);
    CHECK(reader.shortfall() == dir / "cut.wav" +
                                    ": the file is cut short; of the 1.00 s that its header "
                                    "promises, only the first 0.50 s could be read.");
  }
  SUBCASE("FLAC") {
    write_file(dir / "whole.flac", noise(1, 48000), SampleFormat::kInt16);
    const std::string whole = tests::read_bytes(dir / "whole.flac");
    tests::write_bytes(dir / "cut.flac", whole.substr(0, whole.size() / 2));
    SoundReader reader(dir / "cut.flac");
    const std::size_t read = read_file(reader).front().size();
    CHECK(read > 10000);
    CHECK(read < 24001);
    CHECK(reader.shortfall().find("cut short") != std::string::npos);
  }
  SUBCASE("an unknown size, as streaming writers leave it, is no promise") {
    RawWav wav;
    wav.samples.assign(4800, 0.1F);
    wav.claimed_bytes = 0xFFFFFFFF;
    tests::write_bytes(dir / "stream.wav", wav.bytes());
    SoundReader reader(dir / "stream.wav");
    CHECK(read_file(reader).front().size() == 4800);
    CHECK(reader.shortfall().empty());
  }
}

TEST_CASE("whole-number formats clip and take non-finite samples as silence") {
  const TemporaryDirectory dir;
  const float inf = std::numeric_limits<float>::infinity();
  const Channels sent{{2.0F, -3.0F, inf, -inf, std::numeric_limits<float>::quiet_NaN(), 0.5F}};
  write_file(dir / "over.wav", sent, SampleFormat::kInt16);
  SoundReader reader(dir / "over.wav");
  const Channels read = read_file(reader);
  CHECK(read.front()[0] == doctest::Approx(1.0).epsilon(1e-4));
  CHECK(read.front()[1] == -1.0F);
  CHECK(read.front()[2] == 0.0F);
  CHECK(read.front()[3] == 0.0F);
  CHECK(read.front()[4] == 0.0F);
  CHECK(read.front()[5] == 0.5F);
}

TEST_CASE("a short WAV is a plain WAV, and the same samples give the same bytes") {
  const TemporaryDirectory dir;
  const Channels sent = noise(2, 5000);
  write_file(dir / "a.wav", sent, SampleFormat::kFloat);
  write_file(dir / "b.wav", sent, SampleFormat::kFloat);
  const std::string bytes = tests::read_bytes(dir / "a.wav");
  CHECK(bytes.substr(0, 4) == "RIFF");
  CHECK(bytes == tests::read_bytes(dir / "b.wav"));
}

TEST_CASE("what cannot be written is refused before and while writing") {
  const TemporaryDirectory dir;
  const auto refused =
      [](const std::string& path, double rate_hz, int channels, SampleFormat format) {
        try {
          SoundWriter writer(path, rate_hz, channels, format);
        } catch (const base::Error& error) {
          return std::string(error.what());
        }
        return std::string();
      };
  CHECK(refused(dir / "x.mp3", 48000, 1, SampleFormat::kInt16).find(".wav and .flac") !=
        std::string::npos);
  CHECK(refused(dir / "x.flac", 48000, 1, SampleFormat::kFloat).find("no float") !=
        std::string::npos);
  CHECK(refused(dir / "x.flac", 48000, 9, SampleFormat::kInt16).find("at most 8") !=
        std::string::npos);
  CHECK(refused(dir / "x.wav", 48000, 65, SampleFormat::kInt16).find("1 to 64") !=
        std::string::npos);
  CHECK(refused(dir / "x.wav", 44100.5, 1, SampleFormat::kInt16).find("whole rates") !=
        std::string::npos);
  CHECK(refused(dir / "no/such/x.wav", 48000, 1, SampleFormat::kInt16).find("cannot be written") !=
        std::string::npos);
  SoundWriter writer(dir / "x.wav", 48000, 2, SampleFormat::kInt16);
  CHECK_THROWS_AS(writer.write(std::vector<float>(10)), base::Error);
  writer.close();
  CHECK_THROWS_AS(writer.write(std::vector<std::span<const float>>(2)), base::Error);
}
