// What cuts are worth on loops whose whole response is known: fixed recipes that are told where the
// loop rings, the planner, and a long search as the practical ceiling. Prints; judges nothing.
//   bench_planner [--rooms FOLDER] [--seeded COUNT] [--target NAME]

#include <fmt/core.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <string>
#include <vector>

#include "bench/loop_room.h"
#include "core/units.h"
#include "cuts/filters.h"
#include "cuts/grid.h"
#include "cuts/loop_score.h"
#include "cuts/planner.h"
#include "cuts/search.h"

namespace {

using namespace brink;

constexpr double kRateHz = 48000.0;
constexpr int kCuts = 8;

/// What a setting is worth, from the whole response and nothing of the planner's.
struct Worth {
  double won_db = 0.0;
  double lost_db = 0.0;
  double seconds = 0.0;

  [[nodiscard]] double net_db() const { return won_db - lost_db; }
};

std::vector<std::complex<double>> gain_with(const bench::LoopRoom& room,
                                            const cuts::Setting& setting) {
  auto gain = room.gain;
  const auto sections = cuts::to_sections(setting, kRateHz);
  for (std::size_t k = 0; k < gain.size(); ++k) {
    for (const auto& section : sections) {
      gain[k] *= core::response(section, room.loop().frequency_hz(k), kRateHz);
    }
  }
  return gain;
}

Worth judge(const bench::LoopRoom& room, const cuts::Setting& setting) {
  const auto gain = gain_with(room, setting);
  return {-cuts::highest_crossing({room.step_hz, room.step_hz, gain}).level_db,
          cuts::mean_level_lost_db(setting, kRateHz)};
}

/// Cut after cut at the frequency that rings first, all of one Q and -6 dB.
cuts::Setting fixed_recipe(const bench::LoopRoom& room, double q, bool is_third_octave) {
  cuts::Setting setting;
  for (int cut = 0; cut < kCuts; ++cut) {
    const auto gain = gain_with(room, setting);
    double f_hz = cuts::highest_crossing({room.step_hz, room.step_hz, gain}).frequency_hz;
    if (is_third_octave) {
      f_hz = core::third_octave_centre_hz(core::third_octave_index(f_hz));
    }
    setting.cuts.push_back({f_hz, q, -6.0});
  }
  return setting;
}

/// Annealing with ten times the planner's work and five starts, on lists so fine that they are
/// none.
cuts::Setting long_search(const bench::LoopRoom& room) {
  cuts::Slot slot;
  slot.centres_hz = cuts::even_ratio_grid(50.0, 16000.0, 200.0);
  slot.qs = cuts::even_ratio_grid(0.5, 60.0, 16.0);
  for (int step = 0; step <= 96; ++step) {
    slot.depths_db.push_back(-0.25 * step);
  }
  const std::vector<cuts::Slot> slots(kCuts, slot);
  cuts::Setting best;
  double best_db = 0.0;
  for (std::uint64_t start = 0; start < 5; ++start) {
    cuts::LoopScore score(room.loop(), slots.size(), kRateHz);
    cuts::LossScore loss(slots.size(), kRateHz);
    cuts::SearchConfig config;
    config.work *= 10;
    config.use_price_db = 0.0;
    config.seed = 1000 + start;
    const auto setting = cuts::to_setting(slots, cuts::search(slots, score, loss, kRateHz, config));
    const double net_db = judge(room, setting).net_db();
    if (net_db > best_db) {
      best_db = net_db;
      best = setting;
    }
  }
  return best;
}

double now_s() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

Worth judge_plan(const bench::LoopRoom& room, const cuts::Target& target) {
  cuts::PlanConfig config;
  config.most_moves = kCuts;
  const double start_s = now_s();
  const cuts::Plan plan = cuts::plan_for_loop(room.loop(), target, config);
  const double seconds = now_s() - start_s;
  Worth worth = judge(room, plan.setting());
  worth.seconds = seconds;
  return worth;
}

struct Column {
  const char* name;
  std::vector<Worth> worths;
};

void print_sums(const std::vector<Column>& columns) {
  fmt::print("\n{:24} {:>9} {:>9} {:>8} {:>8} {:>7}\n",
             "",
             "won, dB",
             "net, dB",
             "spread",
             "least",
             "time, s");
  for (const Column& column : columns) {
    double won = 0.0;
    double net = 0.0;
    double square = 0.0;
    double least = 1e9;
    double longest_s = 0.0;
    for (const Worth& worth : column.worths) {
      won += worth.won_db;
      net += worth.net_db();
      square += worth.net_db() * worth.net_db();
      least = std::min(least, worth.net_db());
      longest_s = std::max(longest_s, worth.seconds);
    }
    const auto count = static_cast<double>(column.worths.size());
    const double mean = net / count;
    fmt::print("{:24} {:9.2f} {:9.2f} {:8.2f} {:8.2f} {:7.2f}\n",
               column.name,
               won / count,
               mean,
               std::sqrt(std::max(square / count - mean * mean, 0.0)),
               least,
               longest_s);
  }
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("What cuts are worth on known loops");
  std::string folder;
  int seeded = 24;
  std::string target_name = "parametric";
  app.add_option("--rooms", folder, "A folder of measured impulse responses at 48 kHz");
  app.add_option("--seeded", seeded, "How many shoebox rooms");
  app.add_option("--target", target_name, "A built-in target");
  CLI11_PARSE(app, argc, argv);
  std::vector<bench::LoopRoom> rooms;
  for (int seed = 1; seed <= seeded; ++seed) {
    rooms.push_back(bench::make_room(fmt::format("shoebox {}", seed),
                                     bench::seeded_scene(static_cast<std::uint64_t>(seed))));
  }
  if (!folder.empty()) {
    for (auto& room : bench::measured_rooms(folder)) {
      rooms.push_back(std::move(room));
    }
  }
  const cuts::Target& target = *cuts::find_target(target_name);
  std::vector<Column> columns{{"Q 30, -6 dB", {}},
                              {"Q 10, -6 dB", {}},
                              {"Q 4.3, -6 dB", {}},
                              {"third-octave, -6 dB", {}},
                              {"planner", {}},
                              {"long search", {}}};
  fmt::print("net gain, dB (stable gain won minus mean level lost), {} cuts\n{:40}", kCuts, "room");
  for (const Column& column : columns) {
    fmt::print(" {:>19}", column.name);
  }
  fmt::print("\n");
  for (const bench::LoopRoom& room : rooms) {
    const std::array<Worth, 6> worths{
        judge(room, fixed_recipe(room, 30.0, false)),
        judge(room, fixed_recipe(room, 10.0, false)),
        judge(room, fixed_recipe(room, 4.3, false)),
        judge(room, fixed_recipe(room, cuts::graphic_band_q(1), true)),
        judge_plan(room, target),
        judge(room, long_search(room))};
    fmt::print("{:40}", room.name);
    for (std::size_t i = 0; i < worths.size(); ++i) {
      columns[i].worths.push_back(worths[i]);
      fmt::print(" {:19.2f}", worths[i].net_db());
    }
    fmt::print("\n");
    std::fflush(stdout);
  }
  print_sums(columns);
}
