#include <array>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <limits>
#include <string>

#include "fuzz/seeds.h"
#include "support/files.h"

namespace brink::fuzz {
namespace {

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

}  // namespace

void make_detector_seeds(const std::string& root) {
  const std::string directory = root + "/detector";
  std::filesystem::create_directories(directory);
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

}  // namespace brink::fuzz
