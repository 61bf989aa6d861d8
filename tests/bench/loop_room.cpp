#include "bench/loop_room.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "io/whole_sound.h"
#include "loop/random.h"
#include "loop/truth.h"
#include "report/loop_gain.h"

namespace brink::bench {
namespace {

constexpr double kRateHz = 48000.0;
constexpr double kLongestS = 8.0;

}  // namespace

loop::SceneOptions seeded_scene(std::uint64_t seed) {
  loop::Random random(seed);
  const auto between_by_ratio = [&](double low, double high) {
    return low * std::pow(high / low, random.uniform());
  };
  loop::SceneOptions options;
  options.room.length_m = between_by_ratio(5.0, 25.0);
  options.room.width_m = options.room.length_m * random.between(0.5, 0.9);
  options.room.height_m = std::max(2.6, options.room.length_m * random.between(0.25, 0.4));
  options.room.t60_s = between_by_ratio(0.3, 2.0);
  constexpr loop::Pattern kPatterns[]{
      loop::Pattern::kOmni, loop::Pattern::kCardioid, loop::Pattern::kSupercardioid};
  options.room.pattern = kPatterns[random.below(3)];
  options.room.seed = seed;
  options.distance_m = std::min(between_by_ratio(0.6, 3.0), 0.3 * options.room.length_m);
  options.off_axis_deg = random.between(90.0, 180.0);
  return options;
}

loop::SceneOptions measured_scene(const std::vector<float>& response) {
  loop::SceneOptions options;
  options.room_samples.assign(response.begin(), response.end());
  options.distance_m = 2.0;
  return options;
}

LoopRoom make_room(std::string name, const loop::SceneOptions& options) {
  LoopRoom room{
      .name = std::move(name), .scene = loop::build_scene(options), .step_hz = 0, .gain = {}};
  const loop::OpenLoop open(loop::loop_taps(room.scene.stage, 0.0), {}, kRateHz);
  report::EvenGain even = report::to_even_gain(open.response());
  room.step_hz = even.step_hz;
  room.gain = std::move(even.gain);
  return room;
}

std::vector<LoopRoom> measured_rooms(const std::string& folder) {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const auto extension = entry.path().extension();
    if (extension == ".flac" || extension == ".wav" || extension == ".aiff") {
      paths.push_back(entry.path());
    }
  }
  std::sort(paths.begin(), paths.end());
  std::vector<LoopRoom> rooms;
  for (const auto& path : paths) {
    const io::Sound sound = io::read_sound(path.string(), kLongestS);
    rooms.push_back(make_room(path.stem().string(), measured_scene(sound.samples)));
  }
  return rooms;
}

std::vector<LoopRoom> all_rooms(int seeded, const std::string& folder) {
  std::vector<LoopRoom> rooms;
  for (int seed = 1; seed <= seeded; ++seed) {
    rooms.push_back(
        make_room(fmt::format("shoebox {}", seed), seeded_scene(static_cast<std::uint64_t>(seed))));
  }
  if (!folder.empty()) {
    for (auto& room : measured_rooms(folder)) {
      rooms.push_back(std::move(room));
    }
  }
  return rooms;
}

}  // namespace brink::bench
