#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace brink::tests {

/// A directory for one test. It is deleted with this object.
class TemporaryDirectory {
 public:
  TemporaryDirectory();
  ~TemporaryDirectory();
  TemporaryDirectory(const TemporaryDirectory&) = delete;
  TemporaryDirectory& operator=(const TemporaryDirectory&) = delete;
  TemporaryDirectory(TemporaryDirectory&&) = delete;
  TemporaryDirectory& operator=(TemporaryDirectory&&) = delete;

  /// The path of `name` in the directory.
  [[nodiscard]] std::string operator/(std::string_view name) const;

 private:
  std::filesystem::path path_;
};

[[nodiscard]] std::string read_bytes(const std::string& path);
void write_bytes(const std::string& path, std::string_view bytes);

/// A WAV file written byte by byte, so that the sound library does not check itself. It holds
/// interleaved float samples. Every field of the header may be wrong.
struct RawWav {
  unsigned channels = 1;
  unsigned sample_rate_hz = 48000;
  std::vector<float> samples;    ///< interleaved
  long long claimed_bytes = -1;  ///< size in the `data` chunk; -1: the true size

  [[nodiscard]] std::string bytes() const;
};

}  // namespace brink::tests
