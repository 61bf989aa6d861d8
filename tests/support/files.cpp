#include "support/files.h"

#include <unistd.h>

#include <array>
#include <cstring>
#include <fstream>
#include <iterator>
#include <stdexcept>

namespace brink::tests {

TemporaryDirectory::TemporaryDirectory() {
  std::string name = (std::filesystem::temp_directory_path() / "brink-test-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) {
    throw std::runtime_error("no temporary directory");
  }
  path_ = name;
}

TemporaryDirectory::~TemporaryDirectory() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string TemporaryDirectory::operator/(std::string_view name) const {
  return (path_ / name).string();
}

std::string read_bytes(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void write_bytes(const std::string& path, std::string_view bytes) {
  std::ofstream file(path, std::ios::binary);
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
