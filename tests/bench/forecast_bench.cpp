// What is foreseen of a loop from the programme that runs through it: the loop is held some
// decibels under its brink, and the forecast at the end is compared with the loop itself. Beside
// it: the three highest peaks of the long-term spectrum, and three places drawn by chance. Prints;
// judges nothing.
//   bench_forecast [--rooms FOLDER] [--seeded COUNT] [--programme FILE]... [--only NAME] [--length
//   S] [--under DB]...
// With --other NAME the feed of the loudspeaker holds that programme too, --other-db over the
// microphone's part, and two taps stand beside one.

#include <fmt/core.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <complex>
#include <cstdio>
#include <numbers>
#include <optional>
#include <string>
#include <vector>

#include "base/double_fft.h"
#include "base/units.h"
#include "bench/forecast_taps.h"
#include "bench/loop_room.h"
#include "io/whole_sound.h"
#include "listen/feed_watch.h"
#include "listen/loop_watch.h"
#include "loop/programme.h"
#include "loop/truth.h"

namespace {

using namespace brink;

constexpr double kRateHz = bench::kTapsRateHz;
constexpr double kSamePlaceHz = 3.0;
constexpr std::size_t kNamed = 3;
constexpr double kLowestHz = 80.0;
constexpr double kHighestHz = 8000.0;

struct Sound {
  std::string name;
  loop::ProgrammeConfig config;
};

struct Result {
  listen::ForecastState state = listen::ForecastState::kWaiting;
  bool has_places = false;
  bool is_first = false;
  bool is_among_three = false;
  double error_db = 0.0;  ///< of the decibels that are left
  bool is_peak = false;   ///< among the three highest peaks
  double by_chance = 0.0;
};

/// The three highest peaks over the mean of a third-octave around them, in the spectrum of the
/// whole.
bool is_spectrum_peak(std::span<const float> samples, double frequency_hz) {
  constexpr int kSize = 1 << 16;
  constexpr double kStepHz = kRateHz / kSize;
  base::DoubleFft fft(kSize);
  std::vector<double> window(kSize);
  std::vector<std::complex<double>> bins(static_cast<std::size_t>(fft.bin_count()));
  std::vector<double> power(bins.size());
  for (std::size_t at = 0; at + kSize <= samples.size(); at += kSize / 2) {
    for (std::size_t n = 0; n < kSize; ++n) {
      const double shape = std::sin(std::numbers::pi * (static_cast<double>(n) + 0.5) / kSize);
      window[n] = static_cast<double>(samples[at + n]) * shape * shape;
    }
    fft.forward(window, bins);
    for (std::size_t k = 0; k < bins.size(); ++k) {
      power[k] += std::norm(bins[k]);
    }
  }
  std::vector<double> sums(power.size() + 1);
  for (std::size_t k = 0; k < power.size(); ++k) {
    sums[k + 1] = sums[k] + power[k];
  }

  struct Peak {
    double height;
    double frequency_hz;
  };

  std::vector<Peak> peaks;
  for (auto k = static_cast<std::size_t>(kLowestHz / kStepHz);
       k < static_cast<std::size_t>(kHighestHz / kStepHz);
       ++k) {
    if (power[k] > power[k - 1] && power[k] >= power[k + 1]) {
      const auto from = static_cast<std::size_t>(static_cast<double>(k) / 1.122);
      const auto to = static_cast<std::size_t>(static_cast<double>(k) * 1.122);
      const double mean = (sums[to + 1] - sums[from]) / static_cast<double>(to + 1 - from);
      peaks.push_back({power[k] / mean, static_cast<double>(k) * kStepHz});
    }
  }
  std::sort(
      peaks.begin(), peaks.end(), [](const Peak& a, const Peak& b) { return a.height > b.height; });
  peaks.resize(std::min(peaks.size(), kNamed));
  return std::any_of(peaks.begin(), peaks.end(), [&](const Peak& peak) {
    return std::abs(peak.frequency_hz - frequency_hz) <= kSamePlaceHz;
  });
}

void print_places(const std::string& room,
                  const std::string& sound,
                  const listen::Forecast& forecast,
                  std::span<const cuts::Crossing> truth,
                  double margin_db) {
  std::string foreseen;
  for (const listen::ForeseenPlace& place : forecast.places) {
    foreseen +=
        fmt::format(" {:.0f}:{:.1f}+-{:.1f}", place.frequency_hz, place.left_db, place.left_sd_db);
  }
  std::string true_ones;
  for (const cuts::Crossing& crossing : truth.first(std::min<std::size_t>(4, truth.size()))) {
    true_ones +=
        fmt::format(" {:.0f}:{:.1f}", crossing.frequency_hz, margin_db - crossing.level_db);
  }
  fmt::print("  {}, {}, {:g} s:{} | true{}\n", room, sound, forecast.heard_s, foreseen, true_ones);
}

Result score(const bench::LoopRoom& room,
             const listen::Forecast& forecast,
             std::span<const float> microphone,
             double margin_db) {
  const auto truth = cuts::find_crossings(room.loop(), 200.0);
  const cuts::Crossing first = truth.front();
  Result result;
  result.state = forecast.state;
  for (std::size_t k = 0; k < std::min(kNamed, forecast.places.size()); ++k) {
    if (std::abs(forecast.places[k].frequency_hz - first.frequency_hz) <= kSamePlaceHz) {
      result.is_among_three = true;
      result.is_first = result.is_first || k == 0;
    }
  }
  result.has_places = !forecast.places.empty();
  if (result.has_places) {
    result.error_db = forecast.places.front().left_db - (margin_db - first.level_db);
  }
  result.is_peak = is_spectrum_peak(microphone, first.frequency_hz);
  const auto count = std::count_if(truth.begin(), truth.end(), [](const cuts::Crossing& crossing) {
    return crossing.frequency_hz > kLowestHz && crossing.frequency_hz < kHighestHz;
  });
  result.by_chance = static_cast<double>(kNamed) / static_cast<double>(count);
  return result;
}

/// From one tap, and with other programme in the feed also from two.
std::vector<Result> foresee(const bench::LoopRoom& room,
                            const Sound& sound,
                            const bench::OtherProgramme* other,
                            double margin_db,
                            double length_s,
                            bool is_printed) {
  const bench::LoopTaps taps = bench::play(room, sound.config, other, -margin_db, length_s);
  const auto truth = cuts::find_crossings(room.loop(), 200.0);
  listen::LoopWatch watch(kRateHz);
  watch.push(taps.microphone);
  std::vector<Result> results{score(room, watch.forecast(), taps.microphone, margin_db)};
  if (is_printed) {
    print_places(room.name, sound.name, watch.forecast(), truth, margin_db);
  }
  if (other != nullptr) {
    listen::FeedWatch two(kRateHz, 2);
    two.push(taps.microphone, taps.feed);
    two.finish();
    results.push_back(score(room, two.forecast(), taps.microphone, margin_db));
    if (is_printed) {
      const listen::FeedView view = two.forecast().feed.value_or(listen::FeedView{});
      fmt::print(
          "    two taps: other {:.1f} dB, coherence {:.3f}, condition {:.0f} dB, covered "
          "{:.2f}\n",
          view.other_db,
          view.coherence,
          view.condition_db,
          view.covered);
      print_places(room.name, sound.name, two.forecast(), truth, margin_db);
    }
  }
  return results;
}

void print_sums(const std::string& name, double margin_db, std::span<const Result> results) {
  std::vector<double> errors;
  std::size_t first = 0;
  std::size_t three = 0;
  std::size_t peaks = 0;
  std::size_t tonal = 0;
  double chance = 0.0;
  for (const Result& result : results) {
    peaks += result.is_peak ? 1U : 0U;
    chance += result.by_chance;
    tonal += result.state == listen::ForecastState::kTonal ||
                     result.state == listen::ForecastState::kUnclear
                 ? 1U
                 : 0U;
    if (result.state == listen::ForecastState::kTold && result.has_places) {
      first += result.is_first ? 1U : 0U;
      three += result.is_among_three ? 1U : 0U;
      errors.push_back(result.error_db);
    }
  }
  const auto told = std::max<std::size_t>(1, errors.size());
  const auto within = static_cast<std::size_t>(std::count_if(
      errors.begin(), errors.end(), [](double error) { return std::abs(error) <= 1.0; }));
  std::sort(errors.begin(), errors.end());
  const auto percent = [](std::size_t part, std::size_t of) {
    return 100.0 * static_cast<double>(part) / static_cast<double>(of);
  };
  fmt::print("{:40} {:6.0f} {:6} {:6} {:9.0f} {:9.0f} {:9.0f} {:9.2f} {:9.2f} {:9.0f} {:9.1f}\n",
             name,
             margin_db,
             errors.size(),
             tonal,
             percent(first, told),
             percent(three, told),
             percent(within, told),
             errors.empty() ? 0.0 : errors[errors.size() / 2],
             errors.empty() ? 0.0 : std::max(-errors.front(), errors.back()),
             percent(peaks, results.size()),
             100.0 * chance / static_cast<double>(results.size()));
  std::fflush(stdout);
}

std::vector<Sound> make_sounds(const std::vector<std::string>& files) {
  std::vector<Sound> sounds;
  const auto add = [&](std::string name, loop::ProgrammeKind kind) {
    Sound sound{.name = std::move(name), .config = {}};
    sound.config.kind = kind;
    sounds.push_back(std::move(sound));
  };
  add("pink noise", loop::ProgrammeKind::kPinkNoise);
  add("voice", loop::ProgrammeKind::kVoice);
  add("music", loop::ProgrammeKind::kMusic);
  for (const std::string& file : files) {
    add(file.substr(file.find_last_of('/') + 1), loop::ProgrammeKind::kSamples);
    sounds.back().config.samples = io::read_sound(file, 600.0).samples;
  }
  return sounds;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("What is foreseen of known loops from programme alone");
  std::string folder;
  int seeded = 24;
  double length_s = 30.0;
  std::vector<std::string> files;
  app.add_option("--rooms", folder, "A folder of measured impulse responses at 48 kHz");
  app.add_option("--seeded", seeded, "How many shoebox rooms");
  app.add_option("--programme", files, "A recording at 48 kHz, beside the generated programmes");
  app.add_option("--length", length_s, "How long is listened, seconds");
  bool prints_each = false;
  std::string only;
  app.add_option("--only", only, "Programmes with this in their name");
  std::string other_name;
  std::vector<double> others_db{0.0};
  std::vector<double> margins_db{1.0, 2.0, 3.0, 6.0};
  int first_seed = 1;
  app.add_option("--other", other_name, "The feed holds programmes with this in their name");
  app.add_option("--other-db", others_db, "So loud, over the microphone's part in the feed");
  app.add_option("--under", margins_db, "So many decibels under the brink");
  app.add_option("--first-seed", first_seed, "Of the shoebox rooms, those from here on");
  app.add_flag("--each", prints_each, "Also a line for each room");
  CLI11_PARSE(app, argc, argv);
  std::vector<bench::LoopRoom> rooms = bench::all_rooms(seeded, folder);
  rooms.erase(rooms.begin(), rooms.begin() + std::clamp(first_seed - 1, 0, seeded));
  fmt::print("{} rooms, {:g} s; shares in %, of what was told; errors of the decibels left\n",
             rooms.size(),
             length_s);
  fmt::print("{:40} {:>6} {:>6} {:>6} {:>9} {:>9} {:>9} {:>9} {:>9} {:>9} {:>9}\n",
             "programme",
             "under",
             "told",
             "silent",
             "first",
             "in three",
             "in 1 dB",
             "median",
             "largest",
             "peaks",
             "chance");
  const std::vector<Sound> sounds = make_sounds(files);
  const auto is_named = [](const Sound& sound, const std::string& part) {
    return sound.name.find(part) != std::string::npos;
  };
  std::vector<std::optional<bench::OtherProgramme>> others;
  for (const Sound& sound : sounds) {
    for (const double level_db : others_db) {
      if (!other_name.empty() && is_named(sound, other_name)) {
        others.emplace_back(bench::OtherProgramme{sound.name, sound.config, level_db});
      }
    }
  }
  if (others.empty()) {
    others.emplace_back();
  }
  for (const Sound& sound : sounds) {
    if (!is_named(sound, only)) {
      continue;
    }
    for (const std::optional<bench::OtherProgramme>& other : others) {
      for (const double margin_db : margins_db) {
        std::vector<std::vector<Result>> results(other ? 2 : 1);
        for (std::size_t k = 0; k < rooms.size(); ++k) {
          Sound seeded_sound = sound;
          seeded_sound.config.seed = k + 1;
          std::optional<bench::OtherProgramme> seeded_other = other;
          if (seeded_other) {
            seeded_other->programme.seed = 1001 + k;
          }
          const auto both = foresee(rooms[k],
                                    seeded_sound,
                                    seeded_other ? &*seeded_other : nullptr,
                                    margin_db,
                                    length_s,
                                    prints_each);
          for (std::size_t t = 0; t < both.size(); ++t) {
            results[t].push_back(both[t]);
          }
        }
        const std::string name =
            other ? fmt::format("{} + {} {:+g} dB", sound.name, other->name, other->level_db)
                  : sound.name;
        print_sums(name, margin_db, results[0]);
        if (other) {
          print_sums("  the same, two taps", margin_db, results[1]);
        }
      }
    }
  }
}
