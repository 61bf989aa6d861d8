#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <string>
#include <thread>
#include <vector>

#include "io/sound_file.h"
#include "support/files.h"
#include "support/process.h"
#include "support/program.h"
#include "support/sounds.h"

using namespace brink;
using tests::Process;
using tests::run_brink;
using tests::TemporaryDirectory;

namespace {

constexpr double kPatienceS = 20.0;  // only ever spent when something hangs
constexpr double kRateHz = 48000.0;
constexpr double kLengthS = 4.0;

/// A tap that is well, one that is dead, one that is clipped and a copy of the first.
std::array<std::vector<float>, 4> faulty_taps() {
  const std::vector<float> well = tests::white_noise(kLengthS, kRateHz, -30.0, 1);
  std::vector<float> clipped = tests::white_noise(kLengthS, kRateHz, 0.0, 2);
  for (float& sample : clipped) {
    sample = std::clamp(sample, -1.0F, 1.0F);
  }
  return {well, std::vector<float>(well.size(), 0.0F), clipped, well};
}

const std::string kNames = "1 vocal left\n2 spare\n3 bass drum\n4 vocal twice\n";
const std::string kIsClipped = "channel 3 (bass drum) is clipped.";
const std::string kIsCopy =
    "channel 4 (vocal twice) carries the same sound as channel 1 (vocal left).";

bool says(const std::string& text, const std::string& sentence) {
  return text.find(sentence) != std::string::npos;
}

}  // namespace

TEST_CASE("a recording's channel that is dead, clipped or a copy is said by its name") {
  const TemporaryDirectory dir;
  tests::write_bytes(dir / "names.txt", kNames);
  const auto taps = faulty_taps();
  io::SoundWriter writer(dir / "four.wav", kRateHz, 4, io::SampleFormat::kFloat);
  writer.write(std::vector<std::span<const float>>(taps.begin(), taps.end()));
  writer.close();
  const tests::Outcome outcome =
      run_brink({"analyse", "--names", dir / "names.txt", dir / "four.wav"});
  CHECK(outcome.status == 0);
  CHECK(says(outcome.err, "channel 2 (spare) is dead: nothing but zeros."));
  CHECK(says(outcome.err, kIsClipped));
  CHECK(says(outcome.err, kIsCopy));
  CHECK_FALSE(says(outcome.err, "channel 1 (vocal left) is"));
}

TEST_CASE("a tap that is clipped or a copy is said once while it is listened to") {
  const TemporaryDirectory dir;
  tests::write_bytes(dir / "names.txt", kNames);
  const auto taps = faulty_taps();
  std::vector<float> woven;
  for (std::size_t i = 0; i < taps.front().size(); ++i) {
    for (const std::vector<float>& tap : taps) {
      woven.push_back(tap[i]);
    }
  }
  Process process({tests::tested_program(),
                   "listen",
                   "--stdin",
                   "--rate",
                   "48000",
                   "--channels",
                   "4",
                   "--sample-format",
                   "f32",
                   "--names",
                   dir / "names.txt"},
                  {dir / "err", {}});
  {
    const std::jthread writer([&] {
      static_cast<void>(process.write(
          {reinterpret_cast<const char*>(woven.data()), woven.size() * sizeof(float)}));
      process.close_input();
    });
    while (process.read_line(kPatienceS)) {
    }
  }
  CHECK(process.wait(kPatienceS).value_or(-1) == 0);
  const std::string err = tests::read_bytes(dir / "err");
  CHECK(says(err, kIsClipped));
  CHECK(err.find(kIsClipped) == err.rfind(kIsClipped));
  CHECK(says(err, kIsCopy));
}
