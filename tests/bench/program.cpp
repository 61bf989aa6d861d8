// From disk to result: speed, whether time is linear in length and channels, and peak memory of the
// program itself.
#include <fcntl.h>
#include <fmt/core.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include "bench/signals.h"
#include "io/sound_file.h"
#include "support/files.h"

namespace {

constexpr double kRateHz = 48000.0;
constexpr double kTargetTimesRealTime = 250.0;
constexpr double kTargetMemoryMib = 64.0;

struct Cost {
  double processor_s = 0.0;  ///< user and system
  double memory_mib = 0.0;   ///< peak resident set
};

double to_s(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

/// Runs `brink analyse` on one file. Linux counts the few MiB of the forked process into the peak.
/// So nothing large may be in memory here meanwhile.
Cost analyse(const std::string& path) {
  const pid_t child = fork();
  if (child == 0) {
    const int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    dup2(nowhere, STDOUT_FILENO);
    execl(BRINK_EXECUTABLE, "brink", "analyse", "--format", "json", path.c_str(), nullptr);
    _exit(127);
  }
  int state = 0;
  rusage usage{};
  if (child < 0 || wait4(child, &state, 0, &usage) != child || !WIFEXITED(state) ||
      WEXITSTATUS(state) != 0) {
    throw std::runtime_error("brink analyse " + path + " failed");
  }
  return {to_s(usage.ru_utime) + to_s(usage.ru_stime),
          static_cast<double>(usage.ru_maxrss) / 1024.0};
}

Cost quickest_of_three(const std::string& path) {
  Cost best{std::numeric_limits<double>::infinity(), 0.0};
  for (int round = 0; round < 3; ++round) {
    const Cost cost = analyse(path);
    best.processor_s = std::min(best.processor_s, cost.processor_s);
    best.memory_mib = std::max(best.memory_mib, cost.memory_mib);
  }
  return best;
}

/// Writes a minute of programme, repeated.
void write(const std::string& path, double length_s, int channels) {
  std::vector<float> minute(static_cast<std::size_t>(60.0 * kRateHz));
  brink::bench::Programme{kRateHz}.next(minute);
  brink::io::SoundWriter writer{path, kRateHz, channels, brink::io::SampleFormat::kInt16};
  std::size_t count = 0;
  for (auto left = static_cast<std::size_t>(length_s * kRateHz); left > 0; left -= count) {
    count = std::min(left, minute.size());
    const std::vector<std::span<const float>> block(static_cast<std::size_t>(channels),
                                                    std::span<const float>{minute.data(), count});
    writer.write(block);
  }
  writer.close();
}

void report_speed(const std::string& path) {
  constexpr double kLengthS = 600.0;
  write(path, kLengthS, 1);
  const Cost cost = quickest_of_three(path);
  const double times = kLengthS / cost.processor_s;
  fmt::print(
      "  10 minutes, mono, 16-bit WAV: {:.0f} times real time on one core (target {:.0f}: {})\n",
      times,
      kTargetTimesRealTime,
      times >= kTargetTimesRealTime ? "kept" : "missed");
}

void report_length(const std::string& path) {
  fmt::print("  seconds of processor per minute of mono, by length:");
  for (const double minutes : {1.0, 4.0, 16.0}) {
    write(path, 60.0 * minutes, 1);
    fmt::print("  {:.0f} min {:.3f}", minutes, quickest_of_three(path).processor_s / minutes);
  }
  fmt::print("\n");
}

void report_channels(const std::string& path) {
  fmt::print("  seconds of processor per minute and channel, by channels:");
  constexpr double kMinutes = 2.0;
  for (const int channels : {1, 4, 16}) {
    write(path, 60.0 * kMinutes, channels);
    fmt::print(
        "  {} ch {:.3f}", channels, quickest_of_three(path).processor_s / kMinutes / channels);
  }
  fmt::print("\n");
}

void report_memory(const std::string& path) {
  fmt::print("  peak memory, mono:");
  double last_mib = 0.0;
  for (const double hours : {0.05, 3.0}) {
    write(path, 3600.0 * hours, 1);
    last_mib = analyse(path).memory_mib;
    fmt::print("  {:.2f} h {:.1f} MiB", hours, last_mib);
  }
  fmt::print(" (target {:.0f} for 3 h: {})\n",
             kTargetMemoryMib,
             last_mib <= kTargetMemoryMib ? "kept" : "missed");
}

}  // namespace

int main() {
  const brink::tests::TemporaryDirectory directory;
  const std::string path = directory / "programme.wav";
  fmt::print("The program, disk to result, 48 kHz\n");
  try {
    report_speed(path);
    report_length(path);
    report_channels(path);
    report_memory(path);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "bench: %s\n", error.what());
    return 1;
  }
  return 0;
}
