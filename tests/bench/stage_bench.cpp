// How many times faster than real time the simulated stage runs on one core. Not a test: it would
// fail on a busy machine although the code is right. Run it by hand in a release build.
#include <fmt/format.h>

#include <chrono>
#include <vector>

#include "loop/programme.h"
#include "loop/room.h"
#include "loop/stage.h"
#include "support/noise.h"

using namespace brink::loop;

namespace {

double times_real_time(const StageConfig& config, std::size_t block_samples) {
  constexpr std::size_t kSamples = 48000UL * 20;
  Stage stage{config};
  const std::vector<float> programme = brink::tests::flat_noise(block_samples, 0.01);
  std::vector<float> tap(block_samples);
  const auto start = std::chrono::steady_clock::now();
  for (std::size_t at = 0; at < kSamples; at += block_samples) {
    stage.process(programme, tap);
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  return static_cast<double>(kSamples) / 48000.0 / took.count();
}

double programme_times_real_time(ProgrammeKind kind) {
  constexpr std::size_t kBlocks = 2000;
  ProgrammeConfig config;
  config.kind = kind;
  Programme programme{config};
  std::vector<float> block(480);
  const auto start = std::chrono::steady_clock::now();
  for (std::size_t at = 0; at < kBlocks; ++at) {
    programme.fill(block);
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  return static_cast<double>(kBlocks) * 0.01 / took.count();
}

}  // namespace

int main() {
  fmt::print("programme: pink noise {:.0f} x real time, voice {:.0f} x, music {:.0f} x\n",
             programme_times_real_time(ProgrammeKind::kPinkNoise),
             programme_times_real_time(ProgrammeKind::kVoice),
             programme_times_real_time(ProgrammeKind::kMusic));
  RoomConfig room;
  for (const double wedge_m : {0.5, 1.5, 4.0}) {
    for (const double t60_s : {0.5, 2.0}) {
      room.t60_s = t60_s;
      room.t60_low_ratio = 1.0;
      place_wedge(room, wedge_m, 120.0);
      StageConfig config;
      config.response = room_response(room);
      config.plan.gain_db = ramp(-40.0, -30.0, 0.0, 20.0);
      const double still = times_real_time(config, 480);
      config.moved_response = config.response;
      config.plan.position = ramp(0.0, 1.0, 0.0, 20.0);
      const double moving = times_real_time(config, 480);
      fmt::print(
          "wedge at {:.1f} m, T60 {:.1f} s ({} taps): {:.0f} x real time, moving microphone {:.0f} "
          "x\n",
          wedge_m,
          t60_s,
          config.response.size(),
          still,
          moving);
    }
  }
}
