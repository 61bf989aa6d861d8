#include "show/gain_won.h"

#include <algorithm>

namespace brink::show {

std::optional<double> won_db(const RoundRecord& round) noexcept {
  if (!round.cut || !round.rang_at_db || !round.returned_at_db) {
    return std::nullopt;
  }
  return *round.returned_at_db - *round.rang_at_db;
}

std::optional<double> gain_won_db(const OutputRecord& output) noexcept {
  std::optional<double> sum_db;
  for (const RoundRecord& round : output.rounds) {
    if (round.rang_at_db) {
      sum_db = sum_db.value_or(0.0) + won_db(round).value_or(0.0);
    }
  }
  return sum_db;
}

std::optional<double> gain_won_db(const ShowRecord& show) noexcept {
  double sum_db = 0.0;
  int count = 0;
  for (const OutputRecord& output : show.outputs) {
    if (const auto won_db = gain_won_db(output)) {
      sum_db += *won_db;
      ++count;
    }
  }
  if (count == 0) {
    return std::nullopt;
  }
  return sum_db / count;
}

bool has_rung(const OutputRecord& output) noexcept {
  return !output.rounds.empty() || output.start_at_db.has_value();
}

std::optional<double> edge_db(const OutputRecord& output) noexcept {
  std::optional<double> last_db = output.start_at_db;
  std::optional<double> uncut_db;
  for (const RoundRecord& round : output.rounds) {
    if (round.returned_at_db || round.rang_at_db) {
      last_db = round.returned_at_db ? round.returned_at_db : round.rang_at_db;
    }
    if (!round.cut && round.rang_at_db) {
      uncut_db = std::min(uncut_db.value_or(*round.rang_at_db), *round.rang_at_db);
    }
  }
  return last_db && uncut_db ? std::min(*last_db, *uncut_db) : last_db;
}

std::optional<double> leave_at_db(const OutputRecord& output) noexcept {
  const auto at_db = edge_db(output);
  if (!output.is_ended || !output.back_off_db || !at_db) {
    return std::nullopt;
  }
  return *at_db - *output.back_off_db;
}

}  // namespace brink::show
