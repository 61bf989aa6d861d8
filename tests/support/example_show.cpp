#include "support/example_show.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <random>

namespace brink::tests {
namespace {

constexpr const char* kParametric =
    "name = monitor desk\nabout = four bands and a high-pass\nkind = parametric\nbands = 6\n"
    "frequency = 40:16000\nfrequency_steps_per_octave = 24\nq = 0.7:16\ndeepest = -15\n"
    "depth_step = 0.5\nhigh_pass = 40:400\n";

show::RingRecord ring(const char* clock, double hz, double growth, double peak, double sure) {
  return {.flagged_at = fmt::format("2026-03-14T{}+01:00", clock),
          .frequency_hz = hz,
          .frequency_sd_hz = 0.2,
          .growth_db_per_s = growth,
          .peak_dbfs = peak,
          .confidence = sure};
}

show::RoundRecord round_of(const show::RingRecord& ring,
                           const cuts::Band& cut,
                           double rang_at_db,
                           double returned_at_db) {
  return {.ring = ring,
          .proposed = cut,
          .cut = cut,
          .rang_at_db = rang_at_db,
          .returned_at_db = returned_at_db,
          .has_faded = true,
          .note = ""};
}

show::OutputRecord wedge_1() {
  show::OutputRecord output;
  output.name = "Wedge 1";
  output.microphone = "vocal, cardioid";
  output.position = "Wren's stand, centre, 60 cm from the wedge's axis";
  output.target = kParametric;
  output.prepared = {"equaliser flat",
                     "high-pass in the source",
                     "gain set",
                     "microphone where it will be",
                     "hearing protection"};
  // On the target's own grids: 40 Hz times 2^(n / 24), Q 0.7 times 2^(n / 8).
  const cuts::Band low{40.0 * std::exp2(79.0 / 24.0), 0.7 * std::exp2(24.0 / 8.0), -4.5};
  const cuts::Band middle{40.0 * std::exp2(145.0 / 24.0), 0.7 * std::exp2(28.0 / 8.0), -6.0};
  const cuts::Band high{40.0 * std::exp2(175.0 / 24.0), 0.7 * std::exp2(29.0 / 8.0), -6.0};
  const cuts::Band higher{40.0 * std::exp2(161.0 / 24.0), 0.7 * std::exp2(30.0 / 8.0), -3.0};
  output.rounds = {round_of(ring("16:42:07.120", 2631.4, 27.3, -18.6, 0.98), middle, -14.0, -11.0),
                   round_of(ring("16:44:31.660", 391.2, 9.8, -21.4, 0.97), low, -11.0, -9.5),
                   round_of(ring("16:46:55.048", 6263.8, 118.5, -12.9, 0.99), high, -9.5, -7.5),
                   round_of(ring("16:49:20.904", 4180.9, 44.0, -15.2, 0.96), higher, -7.5, -7.0)};
  output.rounds[1].proposed->depth_db = -3.0;
  output.rounds[0].ring.laeq_1s_db = 88.4;
  output.rounds[1].ring.laeq_1s_db = 83.1;
  output.rounds[2].ring.laeq_1s_db = 94.7;
  output.rounds[3].ring.laeq_1s_db = 92.2;
  output.rounds[1].note = "came back once at -3 dB, so deeper";
  output.cuts = {cuts::to_band(cuts::HighPass{80.0}), middle, low, high, higher};
  output.start_at_db = -14.0;
  output.is_ended = true;
  output.back_off_db = 6.0;
  output.advice = "Stop: the last round won 0.5 dB, less than 1 dB.";
  output.note =
      "Keep the wedge on its tape marks: a hand's width nearer and 2.6 kHz is back first.";
  return output;
}

show::OutputRecord wedge_2() {
  show::OutputRecord output;
  output.name = "Wedge 2";
  output.microphone = "guitar vocal, supercardioid";
  output.position = "stage left";
  output.target = "third-octave";
  output.prepared = {"equaliser flat", "gain set"};
  const auto band = [](int index, double depth_db) {
    return cuts::Band{1000.0 * std::pow(10.0, index / 10.0), 4.32, depth_db};
  };
  output.rounds = {
      round_of(ring("16:58:12.300", 1012.7, 33.1, -17.0, 0.98), band(0, -6.0), -10.0, -7.5),
      round_of(ring("17:00:40.020", 3548.0, 61.4, -14.1, 0.97), band(5, -4.5), -7.5, -5.5),
      round_of(ring("17:03:03.770", 204.5, 6.2, -20.3, 0.95), band(-7, -3.0), -5.5, -4.0)};
  output.rounds[1].note = "between two bands: both";
  output.rounds[2].has_faded = false;
  output.cuts = {band(0, -6.0), band(5, -4.5), band(6, -4.5), band(-7, -3.0)};
  output.start_at_db = -10.0;
  output.is_ended = true;
  output.back_off_db = 6.0;
  output.advice = "May stop: three rounds, and the stage is loud enough for Tam.";
  return output;
}

show::OutputRecord mains() {
  show::OutputRecord output;
  output.name = "Mains";
  output.microphone = "speech, lectern";
  output.position = "downstage right";
  output.target = "parametric";
  const cuts::Band cut{249.47, 8.0, -6.0};
  output.rounds = {round_of(ring("17:20:09.410", 249.8, 7.4, -24.0, 0.97), cut, -8.0, -5.5)};
  show::RoundRecord open;
  open.ring = ring("17:22:51.900", 1244.1, 12.9, -22.7, 0.93);
  open.rang_at_db = -5.5;
  output.rounds.push_back(open);
  output.cuts = {cut};
  output.start_at_db = -8.0;
  return output;
}

/// 0 to 1, the same on every machine.
double uniform(std::mt19937& source) {
  return static_cast<double>(source()) / 4294967296.0;
}

std::string key_of(std::uint64_t number) {
  return fmt::format("{:032x}", number);
}

}  // namespace

show::ShowRecord example_show() {
  show::ShowRecord show;
  show.key = "5f0c1e8a9b7d44f2a6300d9e1c2b7a48";
  show.venue = "Larkfield Hall";
  show.name = "The Quiet Levers, spring evening";
  show.started_at = "2026-03-14T16:31:02.500+01:00";
  show.outputs = {wedge_1(), wedge_2(), mains()};
  show.dismissals = {{"2026-03-14T16:33:40.100+01:00", 100.0, "hum of the dimmers"},
                     {"2026-03-14T16:35:02.800+01:00", 1000.0, "line-up tone"}};
  show.note = "Ida mixed, Wren talked. Curtains were half drawn; load-in through the garden door.";
  return show;
}

show::ShowRecord large_show(std::size_t outputs, std::size_t rounds) {
  std::mt19937 source(17);
  show::ShowRecord show = example_show();
  show.outputs.clear();
  for (std::size_t i = 0; i < outputs; ++i) {
    show::OutputRecord output = i % 2 == 0 ? wedge_1() : wedge_2();
    output.name = fmt::format("Output {}", i + 1);
    output.rounds.clear();
    double fader_db = -20.0;
    output.start_at_db = fader_db;
    for (std::size_t j = 0; j < rounds; ++j) {
      const double hz = 100.0 * std::exp2(6.0 * uniform(source));
      const double won_db = 12.0 / static_cast<double>(rounds) * uniform(source);
      const std::size_t second = 30 * j;
      output.rounds.push_back(round_of(
          ring(fmt::format(
                   "{:02}:{:02}:{:02}.000", 15 + second / 3600, second / 60 % 60, second % 60)
                   .c_str(),
               hz,
               3.0 + 120.0 * uniform(source),
               -30.0 + 20.0 * uniform(source),
               0.9 + 0.1 * uniform(source)),
          {std::round(hz), 8.0, -3.0},
          fader_db,
          fader_db + won_db));
      fader_db += won_db;
    }
    show.outputs.push_back(std::move(output));
  }
  return show;
}

show::ShowRecord hostile_show() {
  const std::string bad =
      "</bdi></p></table><script>alert(1)</script><img src=\"http://x/\"> & ' "
      "\x01\xFF\xC3(\xED\xA0\x80"
      " \xE2\x80\xAE gnirts ]]> &amp; <!-- %s {} \t" +
      std::string(300, 'W');
  show::ShowRecord show = example_show();
  show.key = show.venue = show.name = show.started_at = show.note = bad;
  show.check = show::CheckRecord{.ended_at = "", .rang_hz = {}, .older_words = bad};
  for (show::OutputRecord& output : show.outputs) {
    output.name = output.microphone = output.position = output.target = bad;
    output.advice = output.note = bad;
    output.prepared = {bad, ""};
    for (show::RoundRecord& round : output.rounds) {
      round.note = round.ring.flagged_at = bad;
    }
  }
  for (show::DismissalRecord& dismissal : show.dismissals) {
    dismissal.dismissed_at = dismissal.reason = bad;
  }
  return show;
}

std::vector<show::GuessRecord> example_guesses() {
  std::mt19937 source(5);
  std::vector<show::GuessRecord> guesses;
  const std::chrono::sys_days first = std::chrono::year{2026} / 1 / 5;
  for (int week = 0; week < 10; ++week) {
    for (int i = 0; i < 24; ++i) {
      const std::chrono::year_month_day day = first + std::chrono::days(7 * week + i % 5);
      const double true_hz = 112.2 * std::exp2(6.3 * uniform(source));
      const bool is_slip = uniform(source) < 0.12 - 0.01 * week;
      // A sum of uniform numbers is near enough to a normal distribution.
      double spread = -3.0;
      for (int k = 0; k < 6; ++k) {
        spread += uniform(source);
      }
      const double octaves = (1.1 - 0.08 * week) * spread + (is_slip ? 1.0 : 0.0);
      guesses.push_back({.key = key_of(guesses.size()),
                         .trainee = "Wren",
                         .guessed_at = fmt::format("{:04}-{:02}-{:02}T19:{:02}:00.000+01:00",
                                                   static_cast<int>(day.year()),
                                                   static_cast<unsigned>(day.month()),
                                                   static_cast<unsigned>(day.day()),
                                                   2 * i),
                         .exercise = "pure",
                         .seed = 7,
                         .true_hz = true_hz,
                         .guessed_hz = true_hz * std::exp2(octaves),
                         .took_s = std::max(1.0, 9.0 - 0.4 * week + 3.0 * spread),
                         .level = week,
                         .left_db = -3.0});
    }
  }
  return guesses;
}

}  // namespace brink::tests
