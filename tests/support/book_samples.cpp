#include "support/book_samples.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string>

namespace brink::tests {
namespace {

constexpr std::array<const char*, 5> kHalls{
    "Larkfield Hall", "Café Nordwind", "Old Tannery", "Grüner Saal", "Kolonáda Východ"};
constexpr std::array<const char*, 5> kOutputs{"wedge 1", "wedge 2", "side fill", "drums", "mains"};

/// Random figures that are the same on every platform.
class Figures {
 public:
  explicit Figures(std::uint32_t seed) : raw_(seed) {}

  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(raw_()) / 4294967296.0;
  }

  std::size_t below(std::size_t count) { return raw_() % count; }

  std::string key() {
    std::string digits;
    for (int i = 0; i < 4; ++i) {
      digits += fmt::format("{:08x}", raw_());
    }
    return digits;
  }

 private:
  std::mt19937 raw_;
};

std::string time_of_day(std::size_t day, std::size_t second) {
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.125+02:00",
                     2016 + day / 336,
                     1 + day / 28 % 12,
                     1 + day % 28,
                     17 + second / 3600 % 6,
                     second / 60 % 60,
                     second % 60);
}

show::RoundRecord sample_round(Figures& figures, std::size_t day, std::size_t index) {
  show::RoundRecord round;
  round.ring.flagged_at = time_of_day(day, 60 + 45 * index);
  // Uniform over the octaves from 100 Hz to 6.4 kHz.
  round.ring.frequency_hz = 100.0 * std::exp2(figures.between(0.0, 6.0));
  round.ring.frequency_sd_hz = figures.between(0.05, 0.5);
  round.ring.growth_db_per_s = figures.between(5.0, 90.0);
  round.ring.peak_dbfs = figures.between(-60.0, -3.0);
  round.ring.confidence = figures.between(0.9, 1.0);
  if (index % 2 == 0) {
    round.ring.laeq_1s_db = 100.0 + round.ring.peak_dbfs;
  }
  round.proposed = cuts::Band{round.ring.frequency_hz, 8.0, -6.0};
  if (figures.below(8) != 0) {
    round.cut = cuts::Band{std::round(round.ring.frequency_hz), 8.0, -6.0};
  }
  round.rang_at_db = -12.0 + static_cast<double>(index);
  if (figures.below(2) == 0) {
    round.returned_at_db = *round.rang_at_db + figures.between(0.5, 3.0);
  }
  round.has_faded = round.cut.has_value();
  round.note = figures.below(4) == 0 ? "lead voice steps back" : "";
  round.microphone = round.note.empty() ? "" : "vocal left";
  return round;
}

show::SweepRecord sample_sweep(Figures& figures, std::size_t day) {
  show::SweepRecord sweep;
  sweep.made_at = time_of_day(day, 30);
  sweep.from = "sweep";
  sweep.level_dbfs = -40.0;
  sweep.over_noise_db = figures.between(15.0, 40.0);
  if (figures.below(2) == 0) {
    sweep.console_delay_ms = 1.6;
    sweep.distance_m = 1.5;
    sweep.is_delay_known = true;
  }
  sweep.stable_gain_db = figures.between(-5.0, 12.0);
  sweep.stable_gain_most_db = sweep.stable_gain_db + (sweep.is_delay_known ? 0.0 : 1.5);
  sweep.won_least_db = figures.between(3.0, 5.0);
  sweep.won_most_db = sweep.won_least_db + (sweep.is_delay_known ? 0.0 : 1.0);
  sweep.lost_db = figures.between(0.5, 2.0);
  sweep.rings = {{2631.4, sweep.stable_gain_db}, {811.5, sweep.stable_gain_db + 0.75}};
  sweep.cuts = {{2631.0, 8.0, -6.0}, {811.0, 4.0, -3.0}};
  sweep.warnings = {"The two sweeps differ by -18 dB."};
  sweep.note = "curtain open";
  return sweep;
}

}  // namespace

show::ShowRecord sample_show(std::uint32_t seed,
                             std::size_t output_count,
                             std::size_t round_count) {
  Figures figures(seed);
  const std::size_t day = seed % 3600;
  show::ShowRecord show;
  show.key = figures.key();
  show.venue = fmt::format("{} {}", kHalls[figures.below(kHalls.size())], 1 + figures.below(40));
  show.name = fmt::format("Evening {}", seed);
  show.started_at = time_of_day(day, 0);
  for (std::size_t i = 0; i < output_count; ++i) {
    show::OutputRecord& output = show.outputs.emplace_back();
    output.name = kOutputs[i % kOutputs.size()];
    output.microphone = "voice";
    output.position = i % 2 == 0 ? "front, middle" : "front, left";
    output.target = "kind = parametric\nbands = 8\n";
    output.prepared = {"flat", "high-pass", "gain"};
    for (std::size_t k = 0; k < round_count; ++k) {
      output.rounds.push_back(sample_round(figures, day, k));
      if (output.rounds.back().cut) {
        output.cuts.push_back(*output.rounds.back().cut);
      }
    }
    if (round_count > 1 && i == 0) {
      output.sweeps.push_back(sample_sweep(figures, day));
    }
    output.start_at_db = -12.0;
    output.is_ended = true;
    output.back_off_db = 6.0;
    output.advice = "less than 1 dB won by the last round";
    output.note = "cable taped";
  }
  show.dismissals.push_back({time_of_day(day, 700), 50.0, "hum"});
  show.check = show::CheckRecord{time_of_day(day, 3000), 12.5, -31.25, {}};
  if (seed % 2 == 0) {
    show.check->rang_hz = {811.5, 2631.25};
    show.check->rang_in = {"", "vocal left through wedge 1"};
  }
  show.note = "bring the long ladder";
  return show;
}

show::GuessRecord sample_guess(std::uint32_t seed) {
  Figures figures(seed);
  show::GuessRecord guess;
  guess.key = figures.key();
  guess.trainee = seed % 2 == 0 ? "Ada" : "Béla";
  guess.guessed_at = time_of_day(seed % 3600, seed % 3600);
  guess.exercise = "ring";
  guess.seed = 0xFFFFFFFFFFFFFFFFU - seed;
  guess.true_hz = 100.0 * std::exp2(figures.between(0.0, 6.0));
  guess.guessed_hz = guess.true_hz * std::exp2(figures.between(-0.3, 0.3));
  guess.took_s = figures.between(1.0, 9.0);
  guess.level = 1 + static_cast<int>(figures.below(5));
  guess.left_db = -figures.between(0.0, 6.0);
  return guess;
}

}  // namespace brink::tests
