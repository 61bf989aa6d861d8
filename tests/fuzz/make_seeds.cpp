// Writes the seed inputs of the fuzz targets: make_seeds DIRECTORY makes DIRECTORY/sound_file and
// DIRECTORY/detector.

#include <array>
#include <cstdint>
#include <cstring>
#include <exception>
#include <filesystem>
#include <iostream>
#include <limits>
#include <string>
#include <vector>

#include "io/sound_file.h"
#include "support/files.h"
#include "support/sounds.h"

using namespace brink;

namespace {

void make_sound_files(const std::string& directory) {
  tests::RingSound ring;
  ring.sample_rate_hz = 8000.0;
  ring.length_s = 1.5;
  ring.onset_s = 0.2;
  const std::vector<float> samples = ring.samples();
  const auto write = [&](const char* name, double rate_hz, int channels, io::SampleFormat format) {
    const std::string path = directory + "/" + name;
    std::filesystem::remove(path);  // the seed of an earlier run
    io::SoundWriter writer(path, rate_hz, channels, format);
    const std::vector<std::span<const float>> block(static_cast<std::size_t>(channels), samples);
    writer.write(block);
    writer.close();
  };
  write("float.wav", 8000.0, 1, io::SampleFormat::kFloat);
  write("int16.wav", 48000.0, 2, io::SampleFormat::kInt16);
  write("int24.wav", 192000.0, 1, io::SampleFormat::kInt24);
  write("int16.flac", 8000.0, 1, io::SampleFormat::kInt16);
  write("int24.flac", 44100.0, 2, io::SampleFormat::kInt24);
  const std::string wav = tests::read_bytes(directory + "/int16.wav");
  tests::write_bytes(directory + "/short.wav", wav.substr(0, wav.size() / 2));
  tests::write_bytes(directory + "/header.wav", wav.substr(0, 60));
  const std::string flac = tests::read_bytes(directory + "/int16.flac");
  tests::write_bytes(directory + "/short.flac", flac.substr(0, flac.size() / 2));
  tests::RawWav raw;
  raw.channels = 64;
  raw.samples.assign(6400, std::numeric_limits<float>::quiet_NaN());
  tests::write_bytes(directory + "/nan.wav", raw.bytes());
  std::string aiff(
      "FORM\0\0\0\x36"
      "AIFFCOMM\0\0\0\x12"
      "\0\x01"
      "\0\0\0\x04"
      "\0\x10",
      28);
  aiff += std::string("\x40\x0E\xBB\x80\0\0\0\0\0\0", 10);
  aiff += std::string(
      "SSND\0\0\0\x10\0\0\0\0\0\0\0\0"
      "\x40\0\xC0\0\x20\0\xE0\0",
      24);
  tests::write_bytes(directory + "/four.aiff", aiff);
}

/// Writes what fuzz_detector reads.
class ScoreBytes {
 public:
  template <typename Number>
  ScoreBytes& put(Number number) {
    std::array<char, sizeof number> raw{};
    std::memcpy(raw.data(), &number, raw.size());
    bytes_.append(raw.data(), raw.size());
    return *this;
  }

  ScoreBytes& head(std::uint8_t rate) {
    return put(rate).put(std::uint16_t{1023}).put(std::uint16_t{2});
  }

  ScoreBytes& tone(std::uint16_t frequency,
                   std::uint8_t down,
                   std::int8_t growth,
                   std::uint8_t over) {
    return put(std::uint8_t{1})
        .put(frequency)
        .put(down)
        .put(growth)
        .put(std::uint16_t{65000})
        .put(over);
  }

  ScoreBytes& hold(float value) {
    return put(std::uint8_t{3}).put(value).put(std::uint16_t{20000});
  }

  ScoreBytes& noise(std::uint8_t peak) {
    return put(std::uint8_t{4}).put(std::uint32_t{7}).put(peak).put(std::uint16_t{65000});
  }

  [[nodiscard]] const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_;
};

void make_scores(const std::string& directory) {
  const auto write = [&](const char* name, const ScoreBytes& score) {
    tests::write_bytes(directory + "/" + name, score.bytes());
  };
  write("ring_8k", ScoreBytes().head(0).tone(16000, 120, 15, 0).tone(16000, 20, -30, 0));
  write("ring_48k", ScoreBytes().head(5).noise(1).tone(3000, 120, 40, 1).tone(3000, 0, -60, 0));
  write("two_rings", ScoreBytes().head(5).tone(3000, 120, 40, 0).tone(5000, 120, 30, 1).hold(0.0F));
  write("clipped_noise", ScoreBytes().head(9).noise(255).noise(64));
  write("not_numbers",
        ScoreBytes()
            .head(4)
            .hold(std::numeric_limits<float>::quiet_NaN())
            .hold(1e30F)
            .tone(900, 100, 50, 0));
  write(
      "odd_rate",
      ScoreBytes().put(std::uint8_t{10}).put(std::uint32_t{12345}).put(std::uint32_t{9}).noise(9));
  write("no_rate",
        ScoreBytes()
            .put(std::uint8_t{11})
            .put(std::numeric_limits<float>::quiet_NaN())
            .put(std::uint32_t{9}));
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    return 2;
  }
  const std::string root = argv[1];
  try {
    std::filesystem::create_directories(root + "/sound_file");
    std::filesystem::create_directories(root + "/detector");
    make_sound_files(root + "/sound_file");
    make_scores(root + "/detector");
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
  return 0;
}
