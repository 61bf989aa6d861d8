#include <nlohmann/json.hpp>

#include "ear/guess_result.h"
#include "ear/ruler.h"
#include "report/ring_row.h"

namespace brink::ear {
std::string guess_json(const GuessResult& result) {
  using Json = nlohmann::ordered_json;
  const show::GuessRecord& record = result.record;
  const GuessScore& score = result.score;
  Json line;
  line["schema"] = "brink/ear/1";
  line["trainee"] = record.trainee;
  line["guessed_at"] = record.guessed_at;
  line["exercise"] = record.exercise;
  line["seed"] = record.seed;
  line["level"] = record.level;
  line["true_hz"] = report::round_to_decimals(record.true_hz, 2);
  line["guessed_hz"] = report::round_to_decimals(record.guessed_hz, 2);
  line["took_s"] = report::round_to_decimals(record.took_s, 3);
  line["error_cents"] = report::round_to_decimals(score.error_cents, 1);
  line["error_bands"] = report::round_to_decimals(score.error_bands, 3);
  line["hearing_cents"] = report::round_to_decimals(hearing_step_cents(record.true_hz), 1);
  line["tolerance_cents"] = report::round_to_decimals(result.tolerance_cents, 1);
  line["hit"] = score.is_hit;
  line["octave_slip"] = score.octave_slip;
  line["in_time"] = result.is_in_time;
  line["right"] = result.is_right;
  line["cut"] = {{"centre_hz", report::round_to_decimals(score.cut.centre_hz, 2)},
                 {"q", report::round_to_decimals(score.cut.q, 3)},
                 {"depth_db", report::round_to_decimals(score.cut.depth_db, 2)}};
  line["left_db"] = report::round_to_decimals(score.left_db, 2);
  line["excess_db"] =
      result.truth.excess_db ? Json(report::round_to_decimals(*result.truth.excess_db, 2)) : Json();
  line["stops_ring"] = score.stops_ring ? Json(*score.stops_ring) : Json();
  return line.dump(-1, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace brink::ear
