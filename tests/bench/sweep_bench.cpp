// What a quiet sweep foresees of loops whose whole response is known: the first rings, the stable
// gain, and what a plan of cuts from the sweep alone is worth. Prints; judges nothing.
//   bench_sweep [--rooms FOLDER] [--seeded COUNT] [--signal-over-noise DB] [--target NAME]

#include <fmt/core.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <string>
#include <vector>

#include "base/units.h"
#include "bench/loop_room.h"
#include "cuts/planner.h"
#include "loop/sweep/measured_loop.h"
#include "loop/sweep/sweep_stage.h"
#include "report/loop_forecast.h"

namespace {

using namespace brink;

constexpr double kRateHz = 48000.0;
constexpr double kLevelDbfs = -40.0;
constexpr double kSamePlaceHz = 1.0;

struct Options {
  std::string folder;
  int seeded = 24;
  double signal_over_noise_db = 20.0;
  std::string target = "parametric";
  double sweep_s = loop::SweepConfig{}.length_s;
};

struct Result {
  std::size_t place = 0;         ///< of the true first ring among those foreseen, from 1; 0: absent
  double gain_error_db = 0.0;    ///< foreseen stable gain less the true one
  double told_net_db = 0.0;      ///< of the planner told the true response
  double swept_net_db = 0.0;     ///< of the plan from the sweep, by the true response
  double promised_net_db = 0.0;  ///< as that plan says itself
  double within = 0.0;           ///< share of frequencies within 0.5 dB
  double within_20 = 0.0;        ///< the same of those that stand 20 dB over the noise
  double seconds = 0.0;          ///< of processor time, from the recording to the plan
  double late_peak_db = 0.0;
};

double root_mean_square(const std::vector<float>& samples, double from_s, double to_s) {
  double sum = 0.0;
  const auto from = static_cast<std::size_t>(from_s * kRateHz);
  const auto to = static_cast<std::size_t>(to_s * kRateHz);
  for (std::size_t n = from; n < to; ++n) {
    sum += static_cast<double>(samples[n]) * static_cast<double>(samples[n]);
  }
  return std::sqrt(sum / static_cast<double>(to - from));
}

/// Pink noise whose level lies so far below the sweep's at the microphone, both over all
/// frequencies and root mean square.
std::vector<float> record(const bench::LoopRoom& room,
                          const Options& options,
                          loop::SweepOnStage& sweep) {
  sweep.level_dbfs = kLevelDbfs;
  sweep.signal.sweep.length_s = options.sweep_s;
  sweep.noise.kind = loop::ProgrammeKind::kSilence;
  sweep.noise.noise_floor_dbfs = -150.0;
  const auto quiet = loop::sweep_on_stage(room.scene.stage, sweep);
  const double start_s = sweep.signal.lead_s;
  const double sound = root_mean_square(quiet, start_s, start_s + sweep.signal.sweep.length_s);
  sweep.noise.kind = loop::ProgrammeKind::kPinkNoise;
  // A programme's level is that of a sine of full scale.
  sweep.noise.level_dbfs =
      base::amplitude_to_db(sound * std::sqrt(2.0)) - options.signal_over_noise_db;
  return loop::sweep_on_stage(room.scene.stage, sweep);
}

double net_db(const bench::LoopRoom& room, const cuts::Setting& setting) {
  auto gain = room.gain;
  for (const auto& section : cuts::to_sections(setting, kRateHz)) {
    for (std::size_t k = 0; k < gain.size(); ++k) {
      gain[k] *= base::response(section, room.loop().frequency_hz(k), kRateHz);
    }
  }
  const cuts::LoopGain cut{room.step_hz, room.step_hz, gain};
  return cuts::highest_crossing(room.loop()).level_db - cuts::highest_crossing(cut).level_db -
         cuts::mean_level_lost_db(setting, kRateHz);
}

void compare_response(const bench::LoopRoom& room,
                      const loop::MeasuredLoop& measured,
                      Result& result) {
  const loop::OpenLoop found(measured.taps, {}, kRateHz);
  std::size_t all = 0;
  std::size_t near = 0;
  std::size_t strong = 0;
  std::size_t strong_near = 0;
  for (double f_hz = 100.0; f_hz < 10000.0; f_hz *= std::exp2(1.0 / 24.0)) {
    const auto k = static_cast<std::size_t>(std::lround(f_hz / room.step_hz)) - 1;
    const double truth_db = base::amplitude_to_db(std::abs(room.gain[k]));
    const double found_db =
        base::amplitude_to_db(std::abs(found.at_hz(room.loop().frequency_hz(k)).gain)) - kLevelDbfs;
    const auto band = std::min_element(
        measured.bands.begin(), measured.bands.end(), [&](const auto& a, const auto& b) {
          return std::abs(std::log(a.centre_hz / f_hz)) < std::abs(std::log(b.centre_hz / f_hz));
        });
    const bool is_near = std::abs(found_db - truth_db) <= 0.5;
    ++all;
    near += is_near ? 1U : 0U;
    if (truth_db >= band->noise_db - kLevelDbfs + 20.0) {
      ++strong;
      strong_near += is_near ? 1U : 0U;
    }
  }
  result.within = static_cast<double>(near) / static_cast<double>(all);
  result.within_20 =
      strong == 0 ? 0.0 : static_cast<double>(strong_near) / static_cast<double>(strong);
}

double now_s() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

Result sweep_room(const bench::LoopRoom& room, const Options& options) {
  loop::SweepOnStage sweep;
  const auto recording = record(room, options, sweep);
  const cuts::Target& target = *cuts::find_target(options.target);
  const double console_s = room.scene.stage.console_delay_s;
  Result result;
  loop::Deconvolver prepared(sweep.signal.sweep, recording.size());  // while the sweep is played
  const double start_s = now_s();
  const loop::MeasuredLoop measured = loop::measure_loop(recording, sweep.signal, 0.0, prepared);
  const report::EvenGain gain =
      report::to_even_gain(measured.taps, kRateHz, *measured.starts_s + console_s, -kLevelDbfs);
  const report::LoopForecast foreseen = report::forecast(gain, 6.0);
  const cuts::Plan plan = cuts::plan_for_loop(gain.loop(), target);
  result.seconds = now_s() - start_s;
  const cuts::Crossing first = cuts::highest_crossing(room.loop());
  for (std::size_t k = 0; k < foreseen.rings.size() && result.place == 0; ++k) {
    if (std::abs(foreseen.rings[k].frequency_hz - first.frequency_hz) <= kSamePlaceHz) {
      result.place = k + 1;
    }
  }
  result.gain_error_db = foreseen.stable_gain_db + first.level_db;
  result.swept_net_db = net_db(room, plan.setting());
  result.promised_net_db = plan.net_db();
  result.told_net_db = net_db(room, cuts::plan_for_loop(room.loop(), target).setting());
  result.late_peak_db = measured.late_peak_db;
  compare_response(room, measured, result);
  return result;
}

void print_sums(const char* name, std::span<const Result> results) {
  if (results.empty()) {
    return;
  }
  const auto share = [&](const auto& is_so) {
    return 100.0 * static_cast<double>(std::count_if(results.begin(), results.end(), is_so)) /
           static_cast<double>(results.size());
  };
  double told = 0.0;
  double swept = 0.0;
  double promised = 0.0;
  double within = 0.0;
  double within_20 = 0.0;
  double longest_s = 0.0;
  for (const Result& result : results) {
    told += result.told_net_db;
    swept += result.swept_net_db;
    promised += result.promised_net_db;
    within += result.within;
    within_20 += result.within_20;
    longest_s = std::max(longest_s, result.seconds);
  }
  const auto count = static_cast<double>(results.size());
  fmt::print(
      "\n{}, {} rooms\n"
      "  first ring foreseen first: {:.0f} %, among the first three: {:.0f} %\n"
      "  stable gain within 0.5 dB: {:.0f} %, within 1 dB: {:.0f} %\n"
      "  net of the plan, mean: {:.2f} dB from the sweep ({:.2f} promised), {:.2f} told: {:.3f}\n"
      "  response within 0.5 dB: {:.1f} %; where it stands 20 dB over the noise: {:.1f} %\n"
      "  longest time from the recording to the plan: {:.2f} s\n",
      name,
      results.size(),
      share([](const Result& r) { return r.place == 1; }),
      share([](const Result& r) { return r.place >= 1 && r.place <= 3; }),
      share([](const Result& r) { return std::abs(r.gain_error_db) <= 0.5; }),
      share([](const Result& r) { return std::abs(r.gain_error_db) <= 1.0; }),
      swept / count,
      promised / count,
      told / count,
      swept / told,
      100.0 * within / count,
      100.0 * within_20 / count,
      longest_s);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("What a quiet sweep foresees of known loops");
  Options options;
  app.add_option("--rooms", options.folder, "A folder of measured impulse responses at 48 kHz");
  app.add_option("--seeded", options.seeded, "How many shoebox rooms");
  app.add_option("--signal-over-noise", options.signal_over_noise_db, "At the microphone, dB");
  app.add_option("--target", options.target, "A built-in target");
  app.add_option("--sweep", options.sweep_s, "Length of each of the two sweeps, seconds");
  CLI11_PARSE(app, argc, argv);
  const std::vector<bench::LoopRoom> rooms = bench::all_rooms(options.seeded, options.folder);
  const auto seeded = static_cast<std::size_t>(options.seeded);
  fmt::print(
      "two sweeps of {:g} s, {:g} dB over pink noise\n{:40} {:>6} {:>9} {:>7} {:>7} {:>9} {:>9} "
      "{:>7} {:>9}\n",
      options.sweep_s,
      options.signal_over_noise_db,
      "room",
      "place",
      "gain, dB",
      "net",
      "told",
      "0.5 dB, %",
      "20 dB, %",
      "time, s",
      "late, dB");
  std::vector<Result> results;
  for (const bench::LoopRoom& room : rooms) {
    const Result r = sweep_room(room, options);
    fmt::print("{:40} {:6} {:9.2f} {:7.2f} {:7.2f} {:9.1f} {:9.1f} {:7.2f} {:9.1f}\n",
               room.name,
               r.place,
               r.gain_error_db,
               r.swept_net_db,
               r.told_net_db,
               100.0 * r.within,
               100.0 * r.within_20,
               r.seconds,
               r.late_peak_db);
    std::fflush(stdout);
    results.push_back(r);
  }
  print_sums("shoeboxes", std::span(results).first(seeded));
  print_sums("measured rooms", std::span(results).subspan(seeded));
  print_sums("all", results);
}
