// What plans promise and what they keep: from a loop's response in coarser and coarser steps, and
// from the loop's first rings alone. Prints; judges nothing.
//   bench_plan_trust [--rooms FOLDER] [--seeded COUNT]

#include <fmt/core.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

#include "bench/loop_room.h"
#include "cuts/planner.h"
#include "report/loop_trust.h"

namespace {

using namespace brink;

constexpr double kRateHz = 48000.0;

/// Stable gain that a setting wins by the whole response.
double won_db(const bench::LoopRoom& room, const cuts::Setting& setting) {
  auto gain = room.gain;
  for (const auto& section : cuts::to_sections(setting, kRateHz)) {
    for (std::size_t k = 0; k < gain.size(); ++k) {
      gain[k] *= base::response(section, room.loop().frequency_hz(k), kRateHz);
    }
  }
  const cuts::LoopGain cut{room.step_hz, room.step_hz, gain};
  return cuts::highest_crossing(room.loop()).level_db - cuts::highest_crossing(cut).level_db;
}

void print_steps(const bench::LoopRoom& room) {
  for (std::size_t every = 1; every <= 128; every *= 2) {
    report::EvenGain coarse{.step_hz = room.step_hz * static_cast<double>(every), .gain = {}};
    for (std::size_t k = every - 1; k < room.gain.size(); k += every) {
      coarse.gain.push_back(room.gain[k]);
    }
    const report::LoopTrust trust = report::loop_trust(coarse);
    const cuts::Plan plan = cuts::plan_for_loop(coarse.loop(), *cuts::find_target("parametric"));
    const double lost_db = plan.lost_db;
    fmt::print(
        "{:32} {:7.3f} Hz  surprise {:5.2f} agreement {:4.2f} delay {:6.1f} ms  net {:6.2f} "
        "promised {:6.2f} kept\n",
        room.name,
        coarse.step_hz,
        trust.surprise,
        trust.agreement,
        1000.0 * trust.delay_s,
        plan.net_db(),
        won_db(room, plan.setting()) - lost_db);
    std::fflush(stdout);
  }
}

/// The plan from the rings that an engineer would hear first, each some hertz from the next.
void print_rings(const bench::LoopRoom& room, std::size_t count, std::vector<double>& kept) {
  std::vector<cuts::RingMeasurement> rings;
  for (const cuts::Crossing& crossing : cuts::find_crossings(room.loop(), 12.0)) {
    const bool is_new = std::none_of(rings.begin(), rings.end(), [&](const auto& ring) {
      return std::abs(ring.frequency_hz - crossing.frequency_hz) < 10.0;
    });
    if (is_new && rings.size() < count) {
      rings.push_back({.frequency_hz = crossing.frequency_hz});
    }
  }
  const cuts::Plan plan = cuts::plan_for_rings(rings, *cuts::find_target("parametric"));
  kept.push_back(won_db(room, plan.setting()));
  fmt::print("{:32} {} rings: won {:5.2f} promised {:5.2f} kept, lost {:4.2f}\n",
             room.name,
             rings.size(),
             plan.won_db,
             kept.back(),
             plan.lost_db);
}

void print_spread(std::size_t count, std::vector<double> kept) {
  std::sort(kept.begin(), kept.end());
  const auto at = [&](double share) {
    return kept[static_cast<std::size_t>(share * static_cast<double>(kept.size() - 1))];
  };
  double sum = 0.0;
  for (const double won : kept) {
    sum += won;
  }
  fmt::print(
      "{} rings told, {} rooms: stable gain kept: mean {:.2f}, tenth {:.2f}, median {:.2f}, "
      "nine tenths {:.2f} dB\n",
      count,
      kept.size(),
      sum / static_cast<double>(kept.size()),
      at(0.1),
      at(0.5),
      at(0.9));
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("What plans promise and what they keep");
  std::string folder;
  int seeded = 8;
  bool is_rings_only = false;
  app.add_option("--rooms", folder, "A folder of measured impulse responses at 48 kHz");
  app.add_option("--seeded", seeded, "How many shoebox rooms");
  app.add_flag("--rings", is_rings_only, "Only plans from rings");
  CLI11_PARSE(app, argc, argv);
  const std::vector<bench::LoopRoom> rooms = bench::all_rooms(seeded, folder);
  for (const std::size_t count : {std::size_t{1}, std::size_t{3}, std::size_t{6}}) {
    std::vector<double> kept;
    for (const auto& room : rooms) {
      print_rings(room, count, kept);
    }
    print_spread(count, kept);
  }
  for (std::size_t k = 0; !is_rings_only && k < rooms.size(); ++k) {
    print_steps(rooms[k]);
  }
}
