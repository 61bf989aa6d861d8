#include "report/book/book_values.h"

#include <fmt/format.h>

#include <optional>

#include "base/printable.h"
#include "base/time_of_day.h"

namespace brink::report {
namespace {

struct Range {
  double lowest = 0.0;
  double highest = 0.0;
};

// What the fastest sample rate, the steepest filters and any console's scale leave room for.
constexpr Range kFrequencyHz{0.0, 96000.0};
constexpr Range kQ{0.0, 1000.0};  // 0: a high-pass
constexpr Range kDepthDb{-120.0, 0.0};
constexpr Range kLevelDb{-1000.0, 1000.0};
constexpr Range kGrowthDbPerS{-1e6, 1e6};
constexpr Range kDelayMs{0.0, 10000.0};
constexpr Range kDistanceM{0.0, 10000.0};
constexpr Range kShare{0.0, 1.0};
constexpr Range kTookS{0.0, 1e6};
constexpr Range kDifficulty{0.0, 100.0};

/// Looks at one value after another and keeps what is wrong with the first that is.
class Look {
 public:
  Look& number(const char* field, double value, Range range) {
    if (fault_.empty() && !(value >= range.lowest && value <= range.highest)) {
      fault_ =
          fmt::format("{} is {:g}, not {:g} to {:g}", field, value, range.lowest, range.highest);
    }
    return *this;
  }

  Look& number(const char* field, const std::optional<double>& value, Range range) {
    return value ? number(field, *value, range) : *this;
  }

  Look& time(const char* field, const std::string& text) {
    if (fault_.empty() && !text.empty() && !base::parse_time(text)) {
      fault_ = fmt::format(
          "{} is '{}', not a time like 2026-05-01T19:00:00+02:00", field, base::printable(text));
    }
    return *this;
  }

  Look& cut(const char* field, const cuts::Band& cut) {
    return part(field,
                Look()
                    .number("centre_hz", cut.centre_hz, kFrequencyHz)
                    .number("q", cut.q, kQ)
                    .number("depth_db", cut.depth_db, kDepthDb)
                    .fault());
  }

  Look& cut(const char* field, const std::optional<cuts::Band>& value) {
    return value ? cut(field, *value) : *this;
  }

  /// What is wrong inside of a part.
  Look& part(const std::string& name, const std::string& fault) {
    if (fault_.empty() && !fault.empty()) {
      fault_ = name.empty() ? fault : fmt::format("{}: {}", name, fault);
    }
    return *this;
  }

  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

 private:
  std::string fault_;
};

std::string fault_in(const show::RoundRecord& round) {
  return Look()
      .time("flagged_at", round.ring.flagged_at)
      .number("frequency_hz", round.ring.frequency_hz, kFrequencyHz)
      .number("frequency_sd_hz", round.ring.frequency_sd_hz, kFrequencyHz)
      .number("growth_db_per_s", round.ring.growth_db_per_s, kGrowthDbPerS)
      .number("peak_dbfs", round.ring.peak_dbfs, kLevelDb)
      .number("confidence", round.ring.confidence, kShare)
      .number("laeq_1s_db", round.ring.laeq_1s_db, kLevelDb)
      .cut("proposed", round.proposed)
      .cut("cut", round.cut)
      .number("rang_at_db", round.rang_at_db, kLevelDb)
      .number("returned_at_db", round.returned_at_db, kLevelDb)
      .fault();
}

std::string fault_in(const show::SweepRecord& sweep) {
  Look look;
  look.time("made_at", sweep.made_at)
      .number("level_dbfs", sweep.level_dbfs, kLevelDb)
      .number("over_noise_db", sweep.over_noise_db, kLevelDb)
      .number("console_delay_ms", sweep.console_delay_ms, kDelayMs)
      .number("console_gain_db", sweep.console_gain_db, kLevelDb)
      .number("distance_m", sweep.distance_m, kDistanceM)
      .number("stable_gain_db", sweep.stable_gain_db, kLevelDb)
      .number("stable_gain_most_db", sweep.stable_gain_most_db, kLevelDb)
      .number("stable_gain_won_least_db", sweep.won_least_db, kLevelDb)
      .number("stable_gain_won_most_db", sweep.won_most_db, kLevelDb)
      .number("lost_db", sweep.lost_db, kLevelDb);
  for (const show::ForeseenRecord& ring : sweep.rings) {
    look.number("frequency_hz", ring.frequency_hz, kFrequencyHz)
        .number("until_db", ring.until_db, kLevelDb);
  }
  for (const cuts::Band& cut : sweep.cuts) {
    look.cut("cuts", cut);
  }
  return look.fault();
}

}  // namespace

std::string fault_in(const show::OutputRecord& output) {
  Look look;
  for (std::size_t i = 0; i < output.rounds.size(); ++i) {
    look.part(fmt::format("round {}", i + 1), fault_in(output.rounds[i]));
  }
  for (std::size_t i = 0; i < output.sweeps.size(); ++i) {
    look.part(fmt::format("sweep {}", i + 1), fault_in(output.sweeps[i]));
  }
  for (const cuts::Band& cut : output.cuts) {
    look.cut("cuts", cut);
  }
  look.number("start_at_db", output.start_at_db, kLevelDb)
      .number("tried_to_db", output.tried_to_db, kLevelDb)
      .number("back_off_db", output.back_off_db, kLevelDb);
  return look.fault().empty()
             ? ""
             : fmt::format("output '{}', {}", base::printable(output.name), look.fault());
}

std::string fault_in(const show::ShowRecord& show) {
  Look look;
  look.time("started_at", show.started_at);
  for (const show::OutputRecord& output : show.outputs) {
    look.part("", fault_in(output));
  }
  for (const show::DismissalRecord& dismissal : show.dismissals) {
    look.part("dismissals",
              Look()
                  .time("dismissed_at", dismissal.dismissed_at)
                  .number("frequency_hz", dismissal.frequency_hz, kFrequencyHz)
                  .fault());
  }
  if (show.check) {
    Look check;
    check.time("ended_at", show.check->ended_at)
        .number("listened_s", show.check->listened_s, kTookS)
        .number("loudest_dbfs", show.check->loudest_dbfs, kLevelDb);
    for (const double frequency_hz : show.check->rang_hz) {
      check.number("rang_hz", frequency_hz, kFrequencyHz);
    }
    look.part("check", check.fault());
  }
  return look.fault();
}

std::string fault_in(const show::GuessRecord& guess) {
  return Look()
      .time("guessed_at", guess.guessed_at)
      .number("true_hz", guess.true_hz, kFrequencyHz)
      .number("guessed_hz", guess.guessed_hz, kFrequencyHz)
      .number("took_s", guess.took_s, kTookS)
      .number("level", guess.level, kDifficulty)
      .number("left_db", guess.left_db, kLevelDb)
      .fault();
}

}  // namespace brink::report
