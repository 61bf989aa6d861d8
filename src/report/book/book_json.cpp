#include "report/book/book_json.h"

#include <optional>

#include "report/row_json.h"
#include "show/gain_won.h"
#include "show/last_check.h"

namespace brink::report {
namespace {

Json to_json(const std::optional<double>& number) {
  return number ? Json(*number) : Json(nullptr);
}

Json cut_json(const cuts::Band& cut) {
  return {{"centre_hz", cut.centre_hz}, {"q", cut.q}, {"depth_db", cut.depth_db}};
}

Json cut_json(const std::optional<cuts::Band>& cut) {
  return cut ? cut_json(*cut) : Json(nullptr);
}

Json round_json(const show::RoundRecord& round) {
  const show::RingRecord& ring = round.ring;
  return {{"ring",
           {{"flagged_at", ring.flagged_at},
            {"frequency_hz", ring.frequency_hz},
            {"frequency_sd_hz", ring.frequency_sd_hz},
            {"growth_db_per_s", ring.growth_db_per_s},
            {"peak_dbfs", ring.peak_dbfs},
            {"confidence", ring.confidence},
            {"laeq_1s_db", to_json(ring.laeq_1s_db)}}},
          {"proposed", cut_json(round.proposed)},
          {"cut", cut_json(round.cut)},
          {"rang_at_db", to_json(round.rang_at_db)},
          {"returned_at_db", to_json(round.returned_at_db)},
          {"has_faded", round.has_faded},
          {"note", round.note},
          {"microphone", round.microphone}};
}

Json sweep_json(const show::SweepRecord& sweep) {
  Json json{{"made_at", sweep.made_at},
            {"from", sweep.from},
            {"level_dbfs", to_json(sweep.level_dbfs)},
            {"over_noise_db", to_json(sweep.over_noise_db)},
            {"console_delay_ms", to_json(sweep.console_delay_ms)},
            {"console_gain_db", to_json(sweep.console_gain_db)},
            {"distance_m", to_json(sweep.distance_m)},
            {"delay_known", sweep.is_delay_known},
            {"stable_gain_db", sweep.stable_gain_db},
            {"stable_gain_most_db", sweep.stable_gain_most_db},
            {"stable_gain_won_least_db", sweep.won_least_db},
            {"stable_gain_won_most_db", sweep.won_most_db},
            {"lost_db", sweep.lost_db}};
  json["rings"] = Json::array();
  for (const show::ForeseenRecord& ring : sweep.rings) {
    json["rings"].push_back({{"frequency_hz", ring.frequency_hz}, {"until_db", ring.until_db}});
  }
  json["cuts"] = Json::array();
  for (const cuts::Band& cut : sweep.cuts) {
    json["cuts"].push_back(cut_json(cut));
  }
  json["warnings"] = sweep.warnings;
  json["note"] = sweep.note;
  return json;
}

Json check_json(const std::optional<show::CheckRecord>& check) {
  if (!check) {
    return nullptr;
  }
  return {{"ended_at", check->ended_at},
          {"listened_s", check->listened_s},
          {"loudest_dbfs", check->loudest_dbfs},
          {"rang_hz", check->rang_hz},
          {"rang_in", check->rang_in},
          {"older_words", check->older_words}};
}

Json output_json(const show::OutputRecord& output) {
  Json json{{"name", output.name},
            {"microphone", output.microphone},
            {"position", output.position},
            {"target", output.target},
            {"prepared", output.prepared}};
  json["rounds"] = Json::array();
  for (const show::RoundRecord& round : output.rounds) {
    json["rounds"].push_back(round_json(round));
  }
  json["sweeps"] = Json::array();
  for (const show::SweepRecord& sweep : output.sweeps) {
    json["sweeps"].push_back(sweep_json(sweep));
  }
  json["cuts"] = Json::array();
  for (const cuts::Band& cut : output.cuts) {
    json["cuts"].push_back(cut_json(cut));
  }
  json["start_at_db"] = to_json(output.start_at_db);
  json["tried_to_db"] = to_json(output.tried_to_db);
  json["is_ended"] = output.is_ended;
  json["back_off_db"] = to_json(output.back_off_db);
  json["won_db"] = to_json(show::gain_won_db(output));
  json["advice"] = output.advice;
  json["note"] = output.note;
  return json;
}

}  // namespace

std::string show_json(const show::ShowRecord& show) {
  Json json{{"schema", "brink/book/1"},
            {"key", show.key},
            {"venue", show.venue},
            {"name", show.name},
            {"started_at", show.started_at}};
  json["outputs"] = Json::array();
  for (const show::OutputRecord& output : show.outputs) {
    json["outputs"].push_back(output_json(output));
  }
  json["dismissals"] = Json::array();
  for (const show::DismissalRecord& dismissal : show.dismissals) {
    json["dismissals"].push_back({{"dismissed_at", dismissal.dismissed_at},
                                  {"frequency_hz", dismissal.frequency_hz},
                                  {"reason", dismissal.reason}});
  }
  json["won_db"] = to_json(show::gain_won_db(show));
  json["last_check"] = show.check ? show::check_words(*show.check) : "";
  json["check"] = check_json(show.check);
  json["note"] = show.note;
  return to_line(json);
}

std::string score_json(const show::GuessRecord& guess) {
  return to_line({{"schema", "brink/score/1"},
                  {"key", guess.key},
                  {"trainee", guess.trainee},
                  {"guessed_at", guess.guessed_at},
                  {"exercise", guess.exercise},
                  {"seed", guess.seed},
                  {"true_hz", guess.true_hz},
                  {"guessed_hz", guess.guessed_hz},
                  {"took_s", guess.took_s},
                  {"level", guess.level},
                  {"left_db", guess.left_db}});
}

std::string list_json(std::span<const io::ShowSummary> shows) {
  std::string text;
  for (const io::ShowSummary& show : shows) {
    text += to_line({{"schema", "brink/book-list/1"},
                     {"key", show.key},
                     {"venue", show.venue},
                     {"name", show.name},
                     {"started_at", show.started_at},
                     {"outputs", show.output_count},
                     {"rounds", show.round_count},
                     {"won_db", to_json(show.won_db)}});
  }
  return text;
}

}  // namespace brink::report
