#include "ear/progress.h"

#include <date/date.h>
#include <date/iso_week.h>
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>
#include <utility>

#include "base/units.h"
#include "ear/score.h"
#include "report/analysis/analysis_csv.h"

namespace brink::ear {
namespace {

using Guesses = std::vector<const show::GuessRecord*>;

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

/// `guesses`: at least one.
GuessSummary sum_up(const Guesses& guesses) {
  std::vector<double> errors_cents;
  std::vector<double> took_s;
  int hits = 0;
  for (const show::GuessRecord* guess : guesses) {
    errors_cents.push_back(heard_error_cents(guess->guessed_hz, guess->true_hz));
    took_s.push_back(guess->took_s);
    hits += is_within_third_octave(guess->guessed_hz, guess->true_hz) ? 1 : 0;
  }
  const auto count = static_cast<double>(guesses.size());
  GuessSummary summary;
  summary.count = static_cast<int>(guesses.size());
  summary.mean_error_cents = std::accumulate(errors_cents.begin(), errors_cents.end(), 0.0) / count;
  summary.hit_share = hits / count;
  summary.median_error_cents = median(std::move(errors_cents));
  summary.median_took_s = median(std::move(took_s));
  return summary;
}

/// Entropy in bits of what was counted, with the correction for cells that few counts leave empty.
template <typename Cell>
double entropy_bits(const std::map<Cell, int>& counts, double total) {
  double bits = (static_cast<double>(counts.size()) - 1.0) / (2.0 * total * std::log(2.0));
  for (const auto& [cell, count] : counts) {
    bits -= count / total * std::log2(count / total);
  }
  return bits;
}

int octave_of(double frequency_hz) {
  constexpr double kThirdOctaves = 3.0;
  return static_cast<int>(std::floor((base::third_octave_index(frequency_hz) + 1) / kThirdOctaves));
}

/// `guesses`: at least one.
double octave_bits(const Guesses& guesses) {
  std::map<int, int> heard;
  std::map<int, int> named;
  std::map<std::pair<int, int>, int> both;
  for (const show::GuessRecord* guess : guesses) {
    const int truth = octave_of(guess->true_hz);
    const int answer = octave_of(guess->guessed_hz);
    ++heard[truth];
    ++named[answer];
    ++both[{truth, answer}];
  }
  const auto total = static_cast<double>(guesses.size());
  return std::max(
      0.0, entropy_bits(heard, total) + entropy_bits(named, total) - entropy_bits(both, total));
}

std::optional<int> take_digits(std::string_view text, std::size_t first, std::size_t count) {
  if (text.size() < first + count) {
    return std::nullopt;
  }
  int number = 0;
  const char* const begin = text.data() + first;
  const auto [end, error] = std::from_chars(begin, begin + count, number);
  return error == std::errc{} && end == begin + count && number >= 0 ? std::optional(number)
                                                                     : std::nullopt;
}

bool is_frequency(double frequency_hz) {
  return std::isfinite(frequency_hz) && frequency_hz > 0.0;
}

}  // namespace

std::string week_of(std::string_view guessed_at) {
  const auto year = take_digits(guessed_at, 0, 4);
  const auto month = take_digits(guessed_at, 5, 2);
  const auto day = take_digits(guessed_at, 8, 2);
  if (!year || !month || !day || guessed_at[4] != '-' || guessed_at[7] != '-') {
    return "?";
  }
  const date::year_month_day its_date{date::year{*year},
                                      date::month{static_cast<unsigned>(*month)},
                                      date::day{static_cast<unsigned>(*day)}};
  if (!its_date.ok()) {
    return "?";
  }
  const iso_week::year_weeknum_weekday week{date::sys_days{its_date}};
  return fmt::format(
      "{:04}-W{:02}", static_cast<int>(week.year()), static_cast<unsigned>(week.weeknum()));
}

EarProgress progress_of(std::span<const show::GuessRecord> guesses, std::string_view trainee) {
  EarProgress progress;
  progress.trainee = trainee;
  Guesses all;
  std::map<int, Guesses> bands;
  std::map<std::string, Guesses> weeks;
  std::map<std::pair<std::string, int>, Guesses> cells;
  for (const show::GuessRecord& guess : guesses) {
    if (guess.trainee != trainee || !is_frequency(guess.true_hz) ||
        !is_frequency(guess.guessed_hz)) {
      continue;
    }
    const int band = base::third_octave_index(guess.true_hz);
    const std::string week = week_of(guess.guessed_at);
    all.push_back(&guess);
    bands[band].push_back(&guess);
    weeks[week].push_back(&guess);
    cells[{week, band}].push_back(&guess);
    const int slip = octave_slip(guess.guessed_hz, guess.true_hz);
    const int column = slip + OctaveCounts::kMost;
    if (slip != 0 || is_within_third_octave(guess.guessed_hz, guess.true_hz)) {
      ++progress.octaves.counts[static_cast<std::size_t>(column)];
    } else {
      ++progress.octaves.none;
    }
  }
  if (all.empty()) {
    return progress;
  }
  progress.all = sum_up(all);
  if (progress.all.count >= kFewestForBits) {
    progress.octave_bits = octave_bits(all);
  }
  for (const auto& [band, these] : bands) {
    progress.bands.push_back({band, sum_up(these)});
  }
  for (const auto& [week, these] : weeks) {
    progress.weeks.push_back({week, sum_up(these)});
  }
  for (const auto& [cell, these] : cells) {
    progress.cells.push_back({cell.first, cell.second, sum_up(these)});
  }
  return progress;
}

std::string guesses_csv(std::span<const show::GuessRecord> guesses, std::string_view trainee) {
  std::string csv =
      "guessed_at,trainee,exercise,level,seed,true_hz,guessed_hz,error_cents,hit,octave_slip,"
      "took_s,left_db\n";
  for (const show::GuessRecord& guess : guesses) {
    if (guess.trainee != trainee || !is_frequency(guess.true_hz) ||
        !is_frequency(guess.guessed_hz)) {
      continue;
    }
    csv += fmt::format("{},{},{},{},{},{:.2f},{:.2f},{:.1f},{},{},{:.3f},{:.2f}\n",
                       report::csv_field(guess.guessed_at),
                       report::csv_field(guess.trainee),
                       report::csv_field(guess.exercise),
                       guess.level,
                       guess.seed,
                       guess.true_hz,
                       guess.guessed_hz,
                       base::cents_between(guess.guessed_hz, guess.true_hz),
                       is_within_third_octave(guess.guessed_hz, guess.true_hz) ? 1 : 0,
                       octave_slip(guess.guessed_hz, guess.true_hz),
                       guess.took_s,
                       guess.left_db);
  }
  return csv;
}

std::string progress_csv(const EarProgress& progress) {
  std::string csv =
      "trainee,week,band_hz,guesses,median_error_cents,mean_error_cents,hit_share,median_took_s\n";
  for (const BandWeekSummary& cell : progress.cells) {
    csv += fmt::format("{},{},{:.1f},{},{:.1f},{:.1f},{:.3f},{:.3f}\n",
                       report::csv_field(progress.trainee),
                       cell.week,
                       base::third_octave_centre_hz(cell.band),
                       cell.summary.count,
                       cell.summary.median_error_cents,
                       cell.summary.mean_error_cents,
                       cell.summary.hit_share,
                       cell.summary.median_took_s);
  }
  return csv;
}

}  // namespace brink::ear
