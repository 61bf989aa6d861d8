#include "io/show_gain.h"

namespace brink::io {

std::optional<double> won_db(const OutputRecord& output) {
  std::optional<double> start_db = output.start_at_db;
  std::optional<double> last_db;
  for (const RoundRecord& round : output.rounds) {
    if (!start_db) {
      start_db = round.rang_at_db;
    }
    if (round.returned_at_db) {
      last_db = round.returned_at_db;
    } else if (round.rang_at_db) {
      last_db = round.rang_at_db;
    }
  }
  if (!start_db || !last_db) {
    return std::nullopt;
  }
  return *last_db - *start_db;
}

std::optional<double> won_db(const ShowRecord& show) {
  double sum_db = 0.0;
  int count = 0;
  for (const OutputRecord& output : show.outputs) {
    if (const auto won = won_db(output)) {
      sum_db += *won;
      ++count;
    }
  }
  if (count == 0) {
    return std::nullopt;
  }
  return sum_db / count;
}

}  // namespace brink::io
