#include "show/gain_won.h"

namespace brink::show {
namespace {

/// The highest fader position known to ring at the end.
std::optional<double> last_ringing_db(const OutputRecord& output) {
  std::optional<double> last_db;
  for (const RoundRecord& round : output.rounds) {
    if (round.returned_at_db) {
      last_db = round.returned_at_db;
    } else if (round.rang_at_db) {
      last_db = round.rang_at_db;
    }
  }
  return last_db;
}

}  // namespace

std::optional<double> gain_won_db(const OutputRecord& output) {
  const auto last_db = last_ringing_db(output);
  if (!output.start_at_db || !last_db) {
    return std::nullopt;
  }
  return *last_db - *output.start_at_db;
}

std::optional<double> gain_won_db(const ShowRecord& show) {
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

}  // namespace brink::show
