// From disk to result: speed, whether time is linear in length and channels, what more cores bring,
// and peak memory of the program itself.
//   bench_program           the short form
//   bench_program HOURS CHANNELS      one recording of that size; 3 32 takes an hour and 33 GB
#include <fcntl.h>
#include <fmt/core.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "bench/signals.h"
#include "io/sound_file.h"
#include "support/files.h"

namespace {

constexpr double kRateHz = 48000.0;
constexpr double kTargetTimesRealTime = 250.0;
constexpr double kTargetMemoryMib = 64.0;       // mono
constexpr double kTargetManyMemoryMib = 300.0;  // 32 channels
constexpr double kTargetShareOfCores = 0.9;

struct Cost {
  double processor_s = 0.0;  ///< user and system
  double took_s = 0.0;       ///< by the clock
  double memory_mib = 0.0;   ///< peak resident set
};

double to_s(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

int cores() {
  return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

/// Runs `brink analyse` on one file; its lines go to `output`. Linux counts the few MiB of the
/// forked process into the peak. So nothing large may be in memory here meanwhile.
Cost analyse(const std::string& path, int jobs = cores(), const char* output = "/dev/null") {
  const auto begun = std::chrono::steady_clock::now();
  const std::string jobs_text = std::to_string(jobs);
  const pid_t child = fork();
  if (child == 0) {
    const int lines = open(output, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    dup2(lines, STDOUT_FILENO);
    execl(BRINK_EXECUTABLE,
          "brink",
          "analyse",
          "--format",
          "json",
          "--jobs",
          jobs_text.c_str(),
          path.c_str(),
          nullptr);
    _exit(127);
  }
  int state = 0;
  rusage usage{};
  if (child < 0 || wait4(child, &state, 0, &usage) != child || !WIFEXITED(state) ||
      WEXITSTATUS(state) != 0) {
    throw std::runtime_error("brink analyse " + path + " failed");
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begun;
  return {to_s(usage.ru_utime) + to_s(usage.ru_stime),
          took.count(),
          static_cast<double>(usage.ru_maxrss) / 1024.0};
}

Cost quickest_of_three(const std::string& path, int jobs = cores()) {
  constexpr double kLongest = std::numeric_limits<double>::infinity();
  Cost best{kLongest, kLongest, 0.0};
  for (int round = 0; round < 3; ++round) {
    const Cost cost = analyse(path, jobs);
    best.processor_s = std::min(best.processor_s, cost.processor_s);
    best.took_s = std::min(best.took_s, cost.took_s);
    best.memory_mib = std::max(best.memory_mib, cost.memory_mib);
  }
  return best;
}

/// What one channel carries of a minute that is repeated: the programme from another place on, and
/// a ring of its own at a time of its own.
struct ChannelSound {
  std::size_t from = 0;
  std::size_t ring_from = 0;
  std::vector<float> ring;
};

ChannelSound channel_sound(int channel, std::size_t minute_samples) {
  constexpr double kRingS = 1.8;  // 54 dB up to -6 dBFS
  const auto number = static_cast<std::size_t>(channel);
  ChannelSound sound;
  sound.from = number * 7919 * 97 % minute_samples;
  sound.ring.resize(static_cast<std::size_t>(kRingS * kRateHz));
  sound.ring_from = (5 + number * 13 % 50) * static_cast<std::size_t>(kRateHz);
  brink::bench::ToneInNoise tone;
  tone.frequency_hz = 400.0 * std::exp2(static_cast<double>(channel % 32) / 8.0);
  tone.amplitude = 0.001;
  tone.growth_db_per_s = 30.0;
  brink::bench::Random random{1};
  brink::bench::render(tone, random, sound.ring);
  return sound;
}

void fill(std::span<float> second,
          const ChannelSound& sound,
          const std::vector<float>& minute,
          std::size_t at) {
  for (std::size_t i = 0; i < second.size(); ++i) {
    const std::size_t in_minute = (at + i) % minute.size();
    second[i] = minute[(in_minute + sound.from) % minute.size()];
    if (in_minute >= sound.ring_from && in_minute - sound.ring_from < sound.ring.size()) {
      second[i] += sound.ring[in_minute - sound.ring_from];
    }
  }
}

/// Writes a minute of programme with a ring, repeated; another on each channel.
void write(const std::string& path, double length_s, int channels) {
  std::vector<float> minute(static_cast<std::size_t>(60.0 * kRateHz));
  brink::bench::Programme{kRateHz}.next(minute);
  std::vector<ChannelSound> sounds;
  for (int channel = 0; channel < channels; ++channel) {
    sounds.push_back(channel_sound(channel, minute.size()));
  }
  std::vector<std::vector<float>> second(sounds.size(),
                                         std::vector<float>(static_cast<std::size_t>(kRateHz)));
  std::filesystem::remove(path);  // the writer replaces nothing
  brink::io::SoundWriter writer{path, kRateHz, channels, brink::io::SampleFormat::kInt16};
  const auto length = static_cast<std::size_t>(length_s * kRateHz);
  for (std::size_t at = 0; at < length; at += second.front().size()) {
    std::vector<std::span<const float>> block;
    for (std::size_t channel = 0; channel < sounds.size(); ++channel) {
      fill(second[channel], sounds[channel], minute, at);
      block.push_back(
          std::span(second[channel]).first(std::min(second[channel].size(), length - at)));
    }
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

void report_many(const std::string& path) {
  fmt::print("  peak memory, many channels:");
  double of_32_mib = 0.0;
  for (const int channels : {8, 32, 64}) {
    for (const double minutes : {1.0, 4.0}) {
      write(path, 60.0 * minutes, channels);
      const double mib = analyse(path).memory_mib;
      of_32_mib = channels == 32 ? mib : of_32_mib;
      fmt::print("  {} ch {:.0f} min {:.1f} MiB", channels, minutes, mib);
    }
  }
  fmt::print(" (target {:.0f} for 32: {})\n",
             kTargetManyMemoryMib,
             of_32_mib <= kTargetManyMemoryMib ? "kept" : "missed");
}

/// One recording of many channels on all cores, compared with one core.
void report_cores(const std::string& path, const std::string& folder) {
  write(path, 60.0, 32);
  const double one_s = quickest_of_three(path, 1).took_s;
  const double all_s = quickest_of_three(path, cores()).took_s;
  const double share = one_s / all_s / cores();
  const std::string one = folder + "/one.json";
  const std::string all = folder + "/all.json";
  analyse(path, 1, one.c_str());
  analyse(path, cores(), all.c_str());
  fmt::print(
      "  {} cores: {:.2f} of {} times one core (target {:.2f}: {}); the lines are {}\n",
      cores(),
      share,
      cores(),
      kTargetShareOfCores,
      share >= kTargetShareOfCores ? "kept" : "missed",
      brink::tests::read_bytes(one) == brink::tests::read_bytes(all) ? "the same" : "OTHERS");
}

void report_one(const std::string& path, double hours, int channels) {
  write(path, 3600.0 * hours, channels);
  const Cost cost = analyse(path);
  fmt::print(
      "  {:g} h, {} channels: {:.0f} s by the clock, {:.0f} s of processor on {} cores, "
      "{:.1f} MiB\n",
      hours,
      channels,
      cost.took_s,
      cost.processor_s,
      cores(),
      cost.memory_mib);
}

}  // namespace

int main(int argc, char** argv) {
  const brink::tests::TemporaryDirectory directory;
  const std::string path = directory / "programme.wav";
  fmt::print("The program, disk to result, 48 kHz\n");
  try {
    if (argc == 3) {
      report_one(path, std::atof(argv[1]), std::atoi(argv[2]));
      return 0;
    }
    report_speed(path);
    report_length(path);
    report_channels(path);
    report_memory(path);
    report_many(path);
    report_cores(path, directory / "");
  } catch (const std::exception& error) {
    std::fprintf(stderr, "bench: %s\n", error.what());
    return 1;
  }
  return 0;
}
