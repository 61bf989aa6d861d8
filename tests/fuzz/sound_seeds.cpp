#include <filesystem>
#include <limits>
#include <span>
#include <string>
#include <vector>

#include "fuzz/seeds.h"
#include "io/sound_file.h"
#include "support/files.h"
#include "support/sound_kinds.h"
#include "support/sounds.h"

namespace brink::fuzz {
namespace {

/// The beginnings of the sound files, since headers alone are tried much faster. An Ogg is looked
/// at to its end.
void make_header_seeds(const std::string& root) {
  constexpr std::size_t kMostBytes = 4096;
  const std::string directory = root + "/sound_header";
  std::filesystem::create_directories(directory);
  for (const auto& file : std::filesystem::directory_iterator(root + "/sound_file")) {
    const std::string bytes = tests::read_bytes(file.path().string());
    const bool is_whole = file.path().extension() == ".ogg" || file.path().extension() == ".opus";
    tests::write_bytes(directory + "/" + file.path().filename().string(),
                       is_whole ? bytes : bytes.substr(0, kMostBytes));
  }
}

}  // namespace

void make_sound_seeds(const std::string& root) {
  const std::string directory = root + "/sound_file";
  std::filesystem::create_directories(directory);
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
  for (const tests::SoundKind& kind : tests::sound_kinds()) {
    const std::span<const float> tenth = std::span(samples).first(4800);
    tests::write_sound_kind(directory + "/kind_" + kind.name, kind, 1, tenth);
  }
  make_header_seeds(root);
}

}  // namespace brink::fuzz
