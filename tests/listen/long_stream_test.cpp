// Hours of stage sound through one detector, as a venue that is watched all day. Twelve minutes in
// CI; BRINK_STREAM_H sets another length, in hours of sound.

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "base/denormals.h"
#include "detector/detector.h"
#include "io/sound_file.h"

using namespace brink;

namespace {

constexpr double kRateHz = 48000.0;

/// All test signals, one after another, with silence up to a whole number of the hops of every
/// scale (products of 2 and 3). So the next cycle lies under the windows as this one does, and the
/// rings must be the same, bit for bit.
std::vector<float> stage_sound() {
  constexpr std::size_t kWhole = std::size_t{3} * 65536;
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(BRINK_TEST_SIGNALS)) {
    if (entry.path().extension() == ".flac") {
      paths.push_back(entry.path());
    }
  }
  std::sort(paths.begin(), paths.end());
  std::vector<float> sound;
  for (const auto& path : paths) {
    io::SoundReader reader(path.string());
    REQUIRE(reader.sample_rate_hz() == kRateHz);
    while (reader.next_block()) {
      sound.insert(sound.end(), reader.channel(0).begin(), reader.channel(0).end());
    }
  }
  sound.resize((sound.size() / kWhole + 2) * kWhole);
  return sound;
}

/// A ring of a cycle; samples count from the cycle's beginning.
struct CycleRing {
  std::int64_t flagged_sample = 0;
  double frequency_hz = 0.0;
  double growth_db_per_s = 0.0;

  friend bool operator==(const CycleRing&, const CycleRing&) = default;
};

class CycleRings final : public detector::EventSink {
 public:
  explicit CycleRings(std::int64_t begin) : begin_(begin) {}

  void on_event(const detector::RingEvent& event) noexcept override {
    if (event.ring.state == detector::RingState::kRinging &&
        event.ring.flagged_sample == event.sample) {
      rings.push_back({event.sample - begin_, event.ring.frequency_hz, event.ring.growth_db_per_s});
    }
  }

  std::vector<CycleRing> rings;

 private:
  std::int64_t begin_;
};

/// What this process holds of its own; its code is read from the disk when it first runs.
double memory_kib() {
  std::ifstream file("/proc/self/statm");
  double all = 0.0;
  double resident = 0.0;
  double shared = 0.0;
  file >> all >> resident >> shared;
  return (resident - shared) * static_cast<double>(sysconf(_SC_PAGESIZE)) / 1024.0;
}

/// A line for each.
std::string words(const std::vector<CycleRing>& rings) {
  std::string text;
  for (const CycleRing& ring : rings) {
    text += fmt::format("{:.3f} s, {:.3f} Hz, {:.2f} dB/s\n",
                        static_cast<double>(ring.flagged_sample) / kRateHz,
                        ring.frequency_hz,
                        ring.growth_db_per_s);
  }
  return text;
}

}  // namespace

TEST_CASE("the last hour of a long stream has the rings of the first, in the same memory") {
  const base::NoDenormals no_denormals;
  const char* const asked = std::getenv("BRINK_STREAM_H");  // NOLINT(concurrency-mt-unsafe)
  const double length_s = 3600.0 * (asked == nullptr ? 0.2 : std::atof(asked));
  const std::vector<float> sound = stage_sound();
  const auto length = static_cast<std::int64_t>(sound.size());
  const auto cycles =
      std::max<std::int64_t>(3, std::llround(length_s * kRateHz / static_cast<double>(length)));
  detector::DetectorConfig config;
  config.sample_rate_hz = kRateHz;
  detector::Detector detector(config);
  REQUIRE(length % detector.hop_samples() == 0);
  // In the first cycle the places of the loops are learnt; the second is the one to compare with.
  std::vector<CycleRing> early;
  double early_kib = 0.0;
  for (std::int64_t cycle = 0; cycle < cycles; ++cycle) {
    CycleRings heard(cycle * length);
    detector.push(sound, heard);
    if (cycle <= 1) {
      early = std::move(heard.rings);
      early_kib = memory_kib();
      continue;
    }
    INFO("cycle " << cycle);
    REQUIRE(words(heard.rings) == words(early));
    REQUIRE(heard.rings == early);
  }
  const double grown_kib = memory_kib() - early_kib;
  MESSAGE(
      fmt::format("{:.2f} h of sound, {} cycles with the same {} rings; {} places; memory grew by "
                  "{:.0f} KiB from {:.1f} MiB",
                  static_cast<double>(cycles * length) / kRateHz / 3600.0,
                  cycles - 1,
                  early.size(),
                  detector.places().size(),
                  grown_kib,
                  early_kib / 1024.0));
  CHECK(early.size() > 20);
  CHECK(detector.counts().samples == cycles * length);
  // Nothing that grows with the stream: a byte for each second would be 80 KiB in a day.
  CHECK(grown_kib < 64.0);
}
