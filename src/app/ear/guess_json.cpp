#include <cmath>
#include <nlohmann/json.hpp>

#include "app/ear/guess_result.h"
#include "app/ear/ruler.h"

namespace brink::app {
namespace {

double rounded(double value, double step) {
  return std::round(value / step) * step;
}

}  // namespace

std::string guess_json(const GuessResult& result) {
  using Json = nlohmann::ordered_json;
  const io::GuessRecord& record = result.record;
  const GuessScore& score = result.score;
  Json line;
  line["schema"] = "brink/ear/1";
  line["trainee"] = record.trainee;
  line["guessed_at"] = record.guessed_at;
  line["exercise"] = record.exercise;
  line["seed"] = record.seed;
  line["level"] = record.level;
  line["true_hz"] = rounded(record.true_hz, 0.01);
  line["guessed_hz"] = rounded(record.guessed_hz, 0.01);
  line["took_s"] = rounded(record.took_s, 0.001);
  line["error_cents"] = rounded(score.error_cents, 0.1);
  line["error_bands"] = rounded(score.error_bands, 0.001);
  line["hearing_cents"] = rounded(hearing_step_cents(record.true_hz), 0.1);
  line["tolerance_cents"] = rounded(result.tolerance_cents, 0.1);
  line["hit"] = score.is_hit;
  line["octave_slip"] = score.octave_slip;
  line["in_time"] = result.is_in_time;
  line["right"] = result.is_right;
  line["cut"] = {{"centre_hz", rounded(score.cut.centre_hz, 0.01)},
                 {"q", rounded(score.cut.q, 0.001)},
                 {"depth_db", score.cut.depth_db}};
  line["left_db"] = rounded(score.left_db, 0.01);
  line["excess_db"] =
      result.truth.excess_db ? Json(rounded(*result.truth.excess_db, 0.01)) : Json();
  line["stops_ring"] = score.stops_ring ? Json(*score.stops_ring) : Json();
  return line.dump(-1, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace brink::app
