#include "support/files.h"

#include <array>
#include <cstring>
#include <fstream>
#include <iterator>
#include <random>
#include <stdexcept>
#include <string>

#include "io/paths.h"

namespace brink::tests {

TemporaryDirectory::TemporaryDirectory() {
  constexpr int kTries = 100;
  std::random_device number;
  for (int i = 0; i < kTries; ++i) {
    path_ = std::filesystem::temp_directory_path() / ("brink-test-" + std::to_string(number()));
    if (std::filesystem::create_directory(path_)) {
      return;
    }
  }
  throw std::runtime_error("no temporary directory");
}

TemporaryDirectory::~TemporaryDirectory() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string TemporaryDirectory::operator/(std::string_view name) const {
  return (path_ / name).string();
}

std::string read_bytes(const std::string& path) {
  std::ifstream file(io::to_path(path), std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void write_bytes(const std::string& path, std::string_view bytes) {
  std::ofstream file(io::to_path(path), std::ios::binary);
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (!file.flush()) {
    throw std::runtime_error("cannot write " + path);
  }
}

namespace {

void put(std::string& out, unsigned long long number, int bytes) {
  for (int i = 0; i < bytes; ++i) {
    out += static_cast<char>((number >> (8 * i)) & 0xFFU);
  }
}

}  // namespace

std::string RawWav::bytes() const {
  const unsigned long long true_bytes = samples.size() * sizeof(float);
  const unsigned long long data_bytes =
      claimed_bytes < 0 ? true_bytes : static_cast<unsigned long long>(claimed_bytes);
  const unsigned sample_bytes = channels * static_cast<unsigned>(sizeof(float));
  std::string out = "RIFF";
  put(out, 36 + data_bytes, 4);
  out += "WAVEfmt ";
  put(out, 16, 4);
  put(out, 3, 2);  // IEEE float
  put(out, channels, 2);
  put(out, sample_rate_hz, 4);
  put(out, static_cast<unsigned long long>(sample_rate_hz) * sample_bytes, 4);
  put(out, sample_bytes, 2);
  put(out, 32, 2);
  out += "data";
  put(out, data_bytes, 4);
  for (const float sample : samples) {
    std::uint32_t bits = 0;
    std::memcpy(&bits, &sample, sizeof bits);
    put(out, bits, 4);
  }
  return out;
}

}  // namespace brink::tests
