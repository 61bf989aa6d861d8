#include "io/live/capture.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "base/error.h"
#include "io/live/capture_memory.h"
#include "io/live/capture_writer.h"
#include "support/files.h"

using namespace brink;
using io::InputHealth;
using Clock = std::chrono::steady_clock;

namespace {

io::CaptureConfig fake(const std::string& script) {
  io::CaptureConfig config;
  config.program = FAKE_CAPTURE_CHILD;
  config.input = script;
  return config;
}

/// What the fake device plays.
float expected(std::size_t index, int channel) {
  return static_cast<float>(static_cast<std::size_t>(channel) * (index % 1000 + 1)) / 1024.0F;
}

/// Reads until `is_done` or ten seconds have passed, far longer than anything here takes.
template <typename Done>
bool read_until(io::Capture& capture, const Done& is_done) {
  std::vector<float> samples(4096);
  const auto until = Clock::now() + std::chrono::seconds(10);
  while (Clock::now() < until) {
    const io::SourceReading reading = capture.read(samples);
    if (is_done(reading, std::span<const float>(samples))) {
      return true;
    }
  }
  return false;
}

bool becomes(io::Capture& capture, InputHealth health) {
  return read_until(capture, [&](const auto& reading, auto) { return reading.health == health; });
}

std::string refusal(const io::CaptureConfig& config) {
  try {
    const io::Capture capture(config);
    return "";
  } catch (const base::Error& error) {
    return error.what();
  }
}

io::CaptureRequest request_for(std::uint32_t channels, std::vector<std::uint32_t> taps) {
  io::CaptureRequest request;
  request.channel_count = channels;
  request.tap_count = static_cast<std::uint32_t>(taps.size());
  std::copy(taps.begin(), taps.end(), request.channels.begin());
  return request;
}

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("the taps asked for come whole and in order") {
  io::CaptureConfig config = fake("run");
  config.taps = {2, 5};
  config.channels = 6;
  io::Capture capture(config);
  CHECK(capture.name() == "run");
  CHECK(capture.sample_rate_hz() == 48000.0);
  std::size_t index = 0;
  bool is_exact = true;
  CHECK(read_until(capture, [&](const io::SourceReading& reading, auto samples) {
    for (std::size_t i = 0; i < reading.samples; ++i, ++index) {
      is_exact = is_exact && samples[2 * i] == expected(index, 2) &&
                 samples[2 * i + 1] == expected(index, 5);
    }
    is_exact = is_exact && reading.lost_samples == 0;
    return index >= 24000;
  }));
  CHECK(is_exact);
}

TEST_CASE("samples that find no room are counted where they were lost") {
  constexpr std::size_t kBlocks = 5000;  // 1.28 million samples, and the ring holds 1.05
  constexpr std::size_t kHeld = (std::size_t{1} << 20U) / 256 * 256;
  io::Capture capture(fake("flood 5000"));
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  std::size_t index = 0;
  std::int64_t lost = 0;
  bool is_exact = true;
  CHECK(read_until(capture, [&](const io::SourceReading& reading, auto samples) {
    for (std::size_t i = 0; i < reading.samples; ++i, ++index) {
      is_exact = is_exact && samples[i] == expected(index, 1);
    }
    lost += reading.lost_samples;
    return reading.health != InputHealth::kRunning && lost > 0;
  }));
  CHECK(is_exact);
  CHECK(index == kHeld);
  CHECK(lost == static_cast<std::int64_t>(kBlocks * 256 - kHeld));
}

TEST_CASE("an input that vanishes is noticed within a second, and is back by itself") {
  const tests::TemporaryDirectory dir;
  io::Capture capture(fake("vanish 50 " + (dir / "again")));
  std::size_t heard = 0;
  Clock::time_point last = Clock::now();
  CHECK(read_until(capture, [&](const io::SourceReading& reading, auto) {
    heard += reading.samples;
    last = reading.samples > 0 ? Clock::now() : last;
    return reading.health == InputHealth::kVanished;
  }));
  CHECK(heard == 50 * 256);  // nothing that came before is lost
  CHECK(Clock::now() - last < std::chrono::seconds(1));
  tests::write_bytes(dir / "again", "");
  CHECK(becomes(capture, InputHealth::kRunning));
  CHECK(read_until(capture, [&](const auto& reading, auto) { return reading.samples > 0; }));
}

TEST_CASE("an input that freezes is noticed within a second, and goes on when it thaws") {
  io::Capture capture(fake("freeze 50 1200"));
  Clock::time_point last = Clock::now();
  CHECK(read_until(capture, [&](const io::SourceReading& reading, auto) {
    last = reading.samples > 0 ? Clock::now() : last;
    return reading.health == InputHealth::kFrozen;
  }));
  CHECK(Clock::now() - last < std::chrono::seconds(1));
  CHECK(becomes(capture, InputHealth::kRunning));
  std::optional<float> first;
  CHECK(read_until(capture, [&](const io::SourceReading& reading, auto samples) {
    first = reading.samples > 0 ? std::optional(samples[0]) : std::nullopt;
    return first.has_value();
  }));
  CHECK(*first == expected(50 * 256, 1));  // the same stream, and not one begun anew
}

TEST_CASE("an input that cannot be had says why at once") {
  CHECK(refusal(fake("refuse")) == "The input is out of order.");
  CHECK(refusal(fake("die")).find("ended by itself") != std::string::npos);
  io::CaptureConfig config = fake("run");
  config.program = "/nonexistent";
  CHECK(refusal(config).find("could not be started") != std::string::npos);
  config = fake("run");
  config.taps = {};
  CHECK(refusal(config).find("must be 1 to 64") != std::string::npos);
  config.taps = {2, 2};
  CHECK(refusal(config).find("different numbers") != std::string::npos);
  config.taps = {3};
  config.channels = 2;
  CHECK(refusal(config) == "Channel 3 was asked for, out of only 2.");
  config.taps = {1};
  config.sample_rate_hz = std::nan("");
  CHECK(refusal(config).find("8000 to 192000") != std::string::npos);
}

TEST_CASE("what was lost is told once there is room, before the first sample after it") {
  const io::CaptureMemory memory(request_for(1, {0}));
  io::CaptureWriter writer(memory);
  auto samples = memory.samples();
  auto gaps = memory.gaps();
  const std::vector<float> block(samples.capacity() - 100, 0.5F);
  writer.on_block(block.data(), block.size());
  writer.on_block(block.data(), 200);
  writer.on_block(nullptr, 64);
  CHECK(gaps.available() == 0);
  CHECK(memory.header().lost_samples == 264);
  samples.drop(1000);
  writer.on_block(block.data(), 10);
  REQUIRE(gaps.available() == 1);
  const io::SampleGap gap = gaps.peek(1)[0][0];
  CHECK(gap.position == block.size());
  CHECK(gap.samples == 264);
  CHECK(samples.written() == block.size() + 10);
  CHECK(memory.header().block_count == 4);
}

TEST_CASE("many taps share what memory there is") {
  std::vector<std::uint32_t> all(io::kMostTaps);
  const io::CaptureMemory memory(request_for(64, all));
  CHECK(memory.samples().capacity() == std::size_t{1} << 24U);
}

TEST_SUITE_END();
