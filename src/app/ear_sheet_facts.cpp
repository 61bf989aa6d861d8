#include "app/ear_sheet_facts.h"

#include <algorithm>
#include <cmath>

#include "app/sheet_text.h"
#include "core/units.h"

namespace brink::app {
namespace {

using Guesses = std::vector<const io::GuessRecord*>;

double median_of(std::vector<double> values) {
  if (values.empty()) {
    return 0.0;
  }
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) {
    return *middle;
  }
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

/// An octave or more off, and within half a third-octave of whole octaves.
int octave_slip_of(double error_bands) {
  const double bands_per_octave = 10.0 * std::log10(2.0);
  const double octaves = std::round(error_bands / bands_per_octave);
  return std::abs(error_bands - octaves * bands_per_octave) <= 0.5 ? static_cast<int>(octaves) : 0;
}

GuessSum sum_of(const Guesses& guesses) {
  GuessSum sum;
  std::vector<double> errors;
  std::vector<double> times;
  for (const io::GuessRecord* guess : guesses) {
    const double error_bands = 10.0 * std::log10(guess->guessed_hz / guess->true_hz);
    const int slip = octave_slip_of(error_bands);
    errors.push_back(std::abs(error_bands));
    // Just one third-octave off still is a hit, also after rounding.
    sum.hits += errors.back() <= 1.0 + 1e-9 ? 1U : 0U;
    sum.slips_up += slip > 0 ? 1U : 0U;
    sum.slips_down += slip < 0 ? 1U : 0U;
    if (std::isfinite(guess->took_s)) {
      times.push_back(guess->took_s);
    }
  }
  sum.count = guesses.size();
  sum.median_bands = median_of(std::move(errors));
  sum.median_took_s = median_of(std::move(times));
  return sum;
}

bool is_frequency(double value_hz) {
  return std::isfinite(value_hz) && value_hz > 0.0;
}

}  // namespace

EarSheetFacts ear_sheet_facts(std::span<const io::GuessRecord> guesses, std::string_view trainee) {
  EarSheetFacts facts;
  Guesses all;
  std::map<int, Guesses> by_band;
  std::map<std::string, Guesses> by_week;
  for (const io::GuessRecord& guess : guesses) {
    if (guess.trainee != trainee) {
      continue;
    }
    if (!is_frequency(guess.true_hz) || !is_frequency(guess.guessed_hz)) {
      ++facts.left_out;
      continue;
    }
    all.push_back(&guess);
    by_band[core::third_octave_index(guess.true_hz)].push_back(&guess);
    if (const auto week = week_of(guess.guessed_at)) {
      by_week[*week].push_back(&guess);
    }
  }
  facts.all = sum_of(all);
  for (const auto& [band, some] : by_band) {
    facts.by_band[band] = sum_of(some);
  }
  for (const auto& [week, some] : by_week) {
    facts.by_week[week] = sum_of(some);
  }
  return facts;
}

}  // namespace brink::app
