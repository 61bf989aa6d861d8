// What cuts are worth on loops whose whole response is known. It compares fixed recipes that are
// told where the loop rings, the robot that is told nothing, the planner, and a long search as the
// practical limit. It prints figures; there is no pass or fail.
//
//   bench_planner [--rooms FOLDER] [--seeded COUNT] [--target NAME] [--cuts COUNT] [--seed NUMBER]
//   [--only COLUMN...]

#include <fmt/core.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "base/units.h"
#include "bench/loop_room.h"
#include "cuts/audibility.h"
#include "cuts/filters.h"
#include "cuts/grid.h"
#include "cuts/planner.h"
#include "cuts/score/loop_score.h"
#include "cuts/search.h"
#include "robot/robot.h"

namespace {

using namespace brink;

constexpr double kRateHz = 48000.0;

/// What a setting is worth, calculated from the whole response and without the planner's code.
struct Worth {
  double won_db = 0.0;
  double lost_db = 0.0;
  double audibility = 0.0;  ///< together, of the cuts that are heard
  int drastic = 0;          ///< cuts deeper than 12 dB
  int audible = 0;          ///< cuts that a listener could hear on music
  double margin_db = 1e9;   ///< of the robot: from where it leaves the fader to the true brink
  double seconds = 0.0;     ///< processor time, where it matters
  std::size_t rounds = 0;   ///< each round is ring, cut and check

  [[nodiscard]] double net_db() const { return won_db - lost_db; }
};

std::vector<std::complex<double>> gain_with(const bench::LoopRoom& room,
                                            const cuts::Setting& setting) {
  auto gain = room.gain;
  const auto sections = cuts::to_sections(setting, kRateHz);
  for (std::size_t k = 0; k < gain.size(); ++k) {
    for (const auto& section : sections) {
      gain[k] *= base::response(section, room.loop().frequency_hz(k), kRateHz);
    }
  }
  return gain;
}

Worth judge(const bench::LoopRoom& room, const cuts::Setting& setting) {
  const auto gain = gain_with(room, setting);
  return {-cuts::highest_crossing({room.step_hz, room.step_hz, gain}).level_db,
          cuts::mean_level_lost_db(setting, kRateHz),
          cuts::heard_cuts(setting).audibility,
          static_cast<int>(std::count_if(setting.cuts.begin(),
                                         setting.cuts.end(),
                                         [](const auto& c) { return c.depth_db < -12.0; })),
          cuts::audible_count(setting)};
}

/// Makes one cut after another at the frequency that rings first. All have one Q and -6 dB.
cuts::Setting fixed_recipe(const bench::LoopRoom& room,
                           int most_cuts,
                           double q,
                           bool is_third_octave) {
  cuts::Setting setting;
  for (int cut = 0; cut < most_cuts; ++cut) {
    const auto gain = gain_with(room, setting);
    double f_hz = cuts::highest_crossing({room.step_hz, room.step_hz, gain}).frequency_hz;
    if (is_third_octave) {
      f_hz = base::third_octave_centre_hz(base::third_octave_index(f_hz));
    }
    setting.cuts.push_back({f_hz, q, -6.0});
  }
  return setting;
}

/// Annealing with ten times the planner's work and five starts. Its lists are so fine that they
/// hardly limit the choice.
cuts::Setting long_search(const bench::LoopRoom& room, int most_cuts) {
  cuts::Slot slot;
  slot.centres_hz = cuts::even_ratio_grid(50.0, 16000.0, 200.0);
  slot.qs = cuts::even_ratio_grid(0.5, 60.0, 16.0);
  for (int step = 0; step <= 96; ++step) {
    slot.depths_db.push_back(-0.25 * step);
  }
  const std::vector<cuts::Slot> slots(static_cast<std::size_t>(most_cuts), slot);
  cuts::Setting best;
  double best_db = 0.0;
  for (std::uint64_t start = 0; start < 5; ++start) {
    cuts::LoopScore score(room.loop(), slots.size(), kRateHz);
    cuts::LossScore loss(slots.size(), kRateHz);
    cuts::SearchConfig config;
    config.work *= 10;
    config.most_in_use = most_cuts;
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

Worth judge_plan(const bench::LoopRoom& room,
                 const cuts::Target& target,
                 int most_cuts,
                 cuts::Sound sound) {
  cuts::PlanConfig config;
  config.most_moves = most_cuts;
  config.sound = sound;
  const double start_s = now_s();
  const cuts::Plan plan = cuts::plan_for_loop(room.loop(), target, config);
  const double seconds = now_s() - start_s;
  Worth worth = judge(room, plan.setting());
  worth.seconds = seconds;
  return worth;
}

/// The robot hears the room but knows nothing about it.
Worth judge_robot(const bench::LoopRoom& room,
                  const cuts::Target& target,
                  int most_cuts,
                  std::uint64_t programme) {
  robot::RobotConfig config;
  config.target = target;
  config.most_moves = most_cuts;
  loop::Scene scene = room.scene;
  scene.programme.seed = programme;
  const double start_s = now_s();
  const robot::RobotRun run = robot::run_robot(scene, config);
  const double seconds = now_s() - start_s;
  Worth worth = judge(room, cuts::to_setting(run.moves));
  worth.seconds = seconds;
  worth.margin_db = run.spare_db;
  worth.rounds = run.rounds.size();
  return worth;
}

/// Each cut of a recipe is one round.
Worth judge_recipe(const bench::LoopRoom& room, int most_cuts, double q, bool is_third_octave) {
  Worth worth = judge(room, fixed_recipe(room, most_cuts, q, is_third_octave));
  worth.rounds = static_cast<std::size_t>(most_cuts);
  return worth;
}

/// One way to choose cuts, and what it was worth in every room.
struct Column {
  std::string name;
  std::function<Worth(const bench::LoopRoom&)> judge;
  std::vector<Worth> worths;
};

std::vector<Column> all_columns(const cuts::Target& target, int most_cuts, std::uint64_t seed) {
  const auto recipe = [=](double q, bool is_third_octave = false) {
    return [=](const bench::LoopRoom& room) {
      return judge_recipe(room, most_cuts, q, is_third_octave);
    };
  };
  const auto planner = [=, &target](cuts::Sound sound) {
    return [=, &target](const bench::LoopRoom& room) {
      return judge_plan(room, target, most_cuts, sound);
    };
  };
  return {{"Q 30, -6 dB", recipe(30.0), {}},
          {"Q 10, -6 dB", recipe(10.0), {}},
          {"Q 4.3, -6 dB", recipe(4.3), {}},
          {"third-octave, -6 dB", recipe(cuts::graphic_band_q(1), true), {}},
          {"robot",
           [=, &target](const bench::LoopRoom& room) {
             return judge_robot(room, target, most_cuts, seed);
           },
           {}},
          {"inaudible", planner(cuts::Sound::kInaudible), {}},
          {"balanced", planner(cuts::Sound::kBalanced), {}},
          {"most-gain", planner(cuts::Sound::kMostGain), {}},
          {"long search",
           [=](const bench::LoopRoom& room) { return judge(room, long_search(room, most_cuts)); },
           {}}};
}

/// Means over the rooms from number `first` on.
void print_sums(const char* name,
                const std::vector<Column>& columns,
                std::size_t first,
                std::size_t count) {
  if (count == 0) {
    return;
  }
  fmt::print("\n{:24} {:>7} {:>9} {:>9} {:>8} {:>8} {:>8} {:>8} {:>6} {:>8} {:>8} {:>7}\n",
             fmt::format("{}, {} rooms", name, count),
             "rounds",
             "won, dB",
             "net, dB",
             "spread",
             "least",
             "audible",
             "over",
             ">12 dB",
             "margin",
             "under 5",
             "time, s");
  for (const Column& column : columns) {
    double won = 0.0;
    double net = 0.0;
    double square = 0.0;
    double least = 1e9;
    double longest_s = 0.0;
    double rounds = 0.0;
    double audible = 0.0;
    double audibility = 0.0;
    int drastic = 0;
    double margin_db = 1e9;
    int narrow = 0;  // runs whose margin is under 5 dB
    for (const Worth& worth : std::span(column.worths).subspan(first, count)) {
      audible += worth.audible;
      audibility += worth.audibility;
      drastic += worth.drastic;
      margin_db = std::min(margin_db, worth.margin_db);
      narrow += worth.margin_db < 5.0 ? 1 : 0;
      rounds += static_cast<double>(worth.rounds);
      won += worth.won_db;
      net += worth.net_db();
      square += worth.net_db() * worth.net_db();
      least = std::min(least, worth.net_db());
      longest_s = std::max(longest_s, worth.seconds);
    }
    const auto n = static_cast<double>(count);
    const double mean = net / n;
    fmt::print(
        "{:24} {:7.1f} {:9.2f} {:9.2f} {:8.2f} {:8.2f} {:8.2f} {:8.1f} {:6} {:>8} {:8} {:7.2f}\n",
        column.name,
        rounds / n,
        won / n,
        mean,
        std::sqrt(std::max(square / n - mean * mean, 0.0)),
        least,
        audible / n,
        audibility / n,
        drastic,
        margin_db < 1e9 ? fmt::format("{:.2f}", margin_db) : std::string("-"),
        narrow,
        longest_s);
  }
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("What cuts are worth on known loops");
  std::string folder;
  int seeded = 24;
  int most_cuts = 8;
  std::uint64_t programme = 1;
  std::string target_name = "parametric";
  std::vector<std::string> only;
  app.add_option("--rooms", folder, "A folder of measured impulse responses at 48 kHz");
  app.add_option("--seeded", seeded, "How many shoebox rooms");
  app.add_option("--target", target_name, "A built-in target");
  app.add_option("--cuts", most_cuts, "How many cuts at most");
  app.add_option("--seed", programme, "Of the programme that the robot hears");
  app.add_option("--only", only, "Columns by their names; all without");
  CLI11_PARSE(app, argc, argv);
  const std::vector<bench::LoopRoom> rooms = bench::all_rooms(seeded, folder);
  const cuts::Target& target = *cuts::find_target(target_name);
  auto columns = all_columns(target, most_cuts, programme);
  std::erase_if(columns, [&](const Column& column) {
    return !only.empty() && std::find(only.begin(), only.end(), column.name) == only.end();
  });
  fmt::print(
      "net gain, dB (stable gain won minus mean level lost), {} cuts\n{:40}", most_cuts, "room");
  for (const Column& column : columns) {
    fmt::print(" {:>19}", column.name);
  }
  fmt::print("\n");
  for (const bench::LoopRoom& room : rooms) {
    fmt::print("{:40}", room.name);
    for (Column& column : columns) {
      column.worths.push_back(column.judge(room));
      fmt::print(" {:19.2f}", column.worths.back().net_db());
    }
    fmt::print("\n");
    std::fflush(stdout);
  }
  const auto shoeboxes = static_cast<std::size_t>(seeded);
  print_sums("shoeboxes", columns, 0, shoeboxes);
  print_sums("folder", columns, shoeboxes, rooms.size() - shoeboxes);
  print_sums("all", columns, 0, rooms.size());
}
