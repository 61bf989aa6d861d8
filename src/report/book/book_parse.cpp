#include <fmt/format.h>

#include <cstdint>
#include <limits>
#include <optional>
#include <stdexcept>

#include "base/error.h"
#include "io/book/kept_band.h"
#include "report/book/book_json.h"
#include "report/book/book_values.h"
#include "report/json_lines.h"
#include "report/row_json.h"
#include "show/gain_won.h"
#include "show/record_key.h"

namespace brink::report {
namespace {

constexpr std::size_t kShortKeyDigits = 8;

/// What must be an object; anything else would read as one with nothing in it.
const Json& object(const Json& json) {
  if (!json.is_object()) {
    throw std::invalid_argument("object");
  }
  return json;
}

/// Missing or null: the value it has anyway.
template <typename Value>
void read(const Json& json, const char* field, Value& value) {
  const auto found = json.find(field);
  if (found != json.end() && !found->is_null()) {
    found->get_to(value);
  }
}

void read(const Json& json, const char* field, std::optional<double>& value) {
  const auto found = json.find(field);
  if (found != json.end() && !found->is_null()) {
    value = found->get<double>();
  }
}

/// Whole numbers only as far as they fit: another conversion is undefined.
void read(const Json& json, const char* field, std::uint64_t& value) {
  const auto found = json.find(field);
  if (found == json.end() || found->is_null()) {
    return;
  }
  if (!found->is_number_unsigned()) {
    throw std::invalid_argument(field);
  }
  value = found->get<std::uint64_t>();
}

void read(const Json& json, const char* field, int& value) {
  constexpr std::uint64_t kMost = std::numeric_limits<int>::max();
  std::uint64_t wide = 0;
  read(json, field, wide);
  if (wide > kMost) {
    throw std::invalid_argument(field);
  }
  value = static_cast<int>(wide);
}

cuts::Band parse_cut(const Json& json) {
  double centre_hz = 0.0;
  double q = 0.0;
  double depth_db = 0.0;
  read(object(json), "centre_hz", centre_hz);
  read(json, "q", q);
  read(json, "depth_db", depth_db);
  return io::kept_band(centre_hz, q, depth_db);
}

std::optional<cuts::Band> parse_cut(const Json& json, const char* field) {
  const auto found = json.find(field);
  return found == json.end() || found->is_null() ? std::nullopt : std::optional(parse_cut(*found));
}

show::RoundRecord parse_round(const Json& json) {
  show::RoundRecord round;
  const Json& ring = object(json.at("ring"));
  read(ring, "flagged_at", round.ring.flagged_at);
  read(ring, "frequency_hz", round.ring.frequency_hz);
  read(ring, "frequency_sd_hz", round.ring.frequency_sd_hz);
  read(ring, "growth_db_per_s", round.ring.growth_db_per_s);
  read(ring, "peak_dbfs", round.ring.peak_dbfs);
  read(ring, "confidence", round.ring.confidence);
  read(ring, "laeq_1s_db", round.ring.laeq_1s_db);
  round.proposed = parse_cut(json, "proposed");
  round.cut = parse_cut(json, "cut");
  read(json, "rang_at_db", round.rang_at_db);
  read(json, "returned_at_db", round.returned_at_db);
  read(json, "has_faded", round.has_faded);
  read(json, "note", round.note);
  read(json, "microphone", round.microphone);
  return round;
}

show::SweepRecord parse_sweep(const Json& json) {
  show::SweepRecord sweep;
  read(object(json), "made_at", sweep.made_at);
  read(json, "from", sweep.from);
  read(json, "level_dbfs", sweep.level_dbfs);
  read(json, "over_noise_db", sweep.over_noise_db);
  read(json, "console_delay_ms", sweep.console_delay_ms);
  read(json, "console_gain_db", sweep.console_gain_db);
  read(json, "distance_m", sweep.distance_m);
  read(json, "delay_known", sweep.is_delay_known);
  read(json, "stable_gain_db", sweep.stable_gain_db);
  read(json, "stable_gain_most_db", sweep.stable_gain_most_db);
  read(json, "stable_gain_won_least_db", sweep.won_least_db);
  read(json, "stable_gain_won_most_db", sweep.won_most_db);
  read(json, "lost_db", sweep.lost_db);
  for (const Json& ring : json.value("rings", Json::array())) {
    show::ForeseenRecord& foreseen = sweep.rings.emplace_back();
    read(object(ring), "frequency_hz", foreseen.frequency_hz);
    read(ring, "until_db", foreseen.until_db);
  }
  for (const Json& cut : json.value("cuts", Json::array())) {
    sweep.cuts.push_back(parse_cut(cut));
  }
  read(json, "warnings", sweep.warnings);
  read(json, "note", sweep.note);
  return sweep;
}

show::OutputRecord parse_output(const Json& json) {
  show::OutputRecord output;
  read(object(json), "name", output.name);
  read(json, "microphone", output.microphone);
  read(json, "position", output.position);
  read(json, "target", output.target);
  read(json, "prepared", output.prepared);
  for (const Json& round : json.value("rounds", Json::array())) {
    output.rounds.push_back(parse_round(round));
  }
  for (const Json& sweep : json.value("sweeps", Json::array())) {
    output.sweeps.push_back(parse_sweep(sweep));
  }
  for (const Json& cut : json.value("cuts", Json::array())) {
    output.cuts.push_back(parse_cut(cut));
  }
  read(json, "start_at_db", output.start_at_db);
  read(json, "tried_to_db", output.tried_to_db);
  read(json, "back_off_db", output.back_off_db);
  output.is_ended = output.back_off_db.has_value();  // what an older brink wrote in its place
  read(json, "is_ended", output.is_ended);
  read(json, "advice", output.advice);
  read(json, "note", output.note);
  if (!show::has_rung(output)) {
    output.back_off_db.reset();  // an older brink claimed a margin under nothing
    output.advice.clear();
  }
  return output;
}

std::string parse_key(const Json& json) {
  auto key = json.at("key").get<std::string>();
  if (!show::is_key(key)) {
    throw std::invalid_argument("its key is not 32 hexadecimal digits");
  }
  return key;
}

std::optional<show::CheckRecord> parse_check(const Json& json) {
  show::CheckRecord check;
  const auto found = json.find("check");
  if (found == json.end()) {  // an older brink kept words alone
    read(json, "last_check", check.older_words);
    return check.older_words.empty() ? std::nullopt : std::optional(check);
  }
  if (found->is_null()) {
    return std::nullopt;
  }
  read(object(*found), "ended_at", check.ended_at);
  read(*found, "listened_s", check.listened_s);
  read(*found, "loudest_dbfs", check.loudest_dbfs);
  read(*found, "rang_hz", check.rang_hz);
  read(*found, "rang_in", check.rang_in);
  read(*found, "older_words", check.older_words);
  return check;
}

show::ShowRecord parse_show(const Json& json) {
  show::ShowRecord show;
  show.key = parse_key(json);
  read(json, "venue", show.venue);
  read(json, "name", show.name);
  read(json, "started_at", show.started_at);
  for (const Json& output : json.value("outputs", Json::array())) {
    show.outputs.push_back(parse_output(output));
  }
  for (const Json& dismissed : json.value("dismissals", Json::array())) {
    show::DismissalRecord& dismissal = show.dismissals.emplace_back();
    read(object(dismissed), "dismissed_at", dismissal.dismissed_at);
    read(dismissed, "frequency_hz", dismissal.frequency_hz);
    read(dismissed, "reason", dismissal.reason);
  }
  show.check = parse_check(json);
  read(json, "note", show.note);
  return show;
}

show::GuessRecord parse_guess(const Json& json) {
  show::GuessRecord guess;
  guess.key = parse_key(json);
  read(json, "trainee", guess.trainee);
  read(json, "guessed_at", guess.guessed_at);
  read(json, "exercise", guess.exercise);
  read(json, "seed", guess.seed);
  read(json, "true_hz", guess.true_hz);
  read(json, "guessed_hz", guess.guessed_hz);
  read(json, "took_s", guess.took_s);
  read(json, "level", guess.level);
  read(json, "left_db", guess.left_db);
  return guess;
}

void refuse(const std::string& fault, const char* what, const std::string& key) {
  if (!fault.empty()) {
    throw base::Error(fmt::format(
        "{} {}, {}; nothing of the file was taken.", what, key.substr(0, kShortKeyDigits), fault));
  }
}

}  // namespace

io::BookAction parse_book(std::string_view text, const std::string& name) {
  io::BookAction action;
  for_each_json_line(
      text, name, "'brink book export' or 'brink book scores'", [&](const Json& json) {
        const std::string schema = json.value("schema", "");
        if (schema == "brink/book/1") {
          action.shows.push_back(parse_show(json));
          refuse(fault_in(action.shows.back()), "show", action.shows.back().key);
        } else if (schema == "brink/score/1") {
          action.guesses.push_back(parse_guess(json));
          refuse(fault_in(action.guesses.back()), "guess", action.guesses.back().key);
        } else {
          throw std::invalid_argument("schema");
        }
      });
  return action;
}

}  // namespace brink::report
