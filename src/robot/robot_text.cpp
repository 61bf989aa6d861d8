#include <fmt/format.h>

#include "base/printable.h"
#include "robot/robot_report.h"
#include "show/cut_words.h"

namespace brink::robot {
namespace {

std::string plural(std::size_t count, const char* one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

std::string hz_text(double frequency_hz) {
  return fmt::format("{:.{}f} Hz", frequency_hz, frequency_hz < 100.0 ? 1 : 0);
}

const char* why(RobotEnd end) {
  switch (end) {
    case RobotEnd::kRounds:
      return "all rounds are made";
    case RobotEnd::kManyAtOnce:
      return "more rang at once than cuts can mend";
    case RobotEnd::kNothingWon:
      return "the last rounds won nothing more";
    case RobotEnd::kNoRing:
      break;
  }
  return "the fader came to its end and nothing rang";
}

std::string round_text(const RobotRound& round, std::size_t number) {
  std::string rings;
  for (const RangPlace& place : round.places) {
    rings += (rings.empty() ? "" : ", ") + hz_text(place.frequency_hz);
  }
  return fmt::format(
      "  round {:<2} {:6.1f} s  brink at {:+5.1f} dB  {} in place, {:.1f} dB lost  rang: {}\n",
      number,
      round.time_s,
      round.brink_db,
      plural(round.setting.cuts.size(), "cut"),
      round.lost_db,
      rings);
}

std::string move_text(const cuts::Move& move) {
  return move.is_high_pass ? fmt::format("  high-pass at {}\n", hz_text(move.cut.centre_hz))
                           : fmt::format("  {:>9}  Q {:<5.3g} {:5.1f} dB\n",
                                         hz_text(move.cut.centre_hz),
                                         move.cut.q,
                                         move.cut.depth_db);
}

}  // namespace

std::string robot_text(const RobotRun& run, const RobotConfig& config) {
  std::string text =
      fmt::format("Rung out with the target {}: {}, {:.0f} s of sound; ended because {}.\n\n",
                  base::printable(config.target.name),
                  plural(run.rounds.size(), "round"),
                  run.length_s,
                  why(run.end));
  for (std::size_t index = 0; index < run.rounds.size(); ++index) {
    text += round_text(run.rounds[index], index + 1);
  }
  text += run.moves.empty() ? "\nNothing is set: no setting tried was worth the sound it took.\n"
                            : "\nSet in the end:\n";
  for (const cuts::Move& move : run.moves) {
    text += move_text(move);
  }
  if (const cuts::Setting set = cuts::to_setting(run.moves); !set.cuts.empty()) {
    text += show::audible_words(set) + "\n";
  }
  text += fmt::format(
      "Fader at {:+.1f} dB, {:g} dB under the brink as heard.\n\n"
      "By the loop's own truth, which the robot was not told: stable gain won {:.1f} dB, level "
      "lost "
      "{:.1f} dB\n(mean of the third-octaves 125 Hz to 8 kHz), net {:.1f} dB; {:.1f} dB under the "
      "brink.\n",
      run.end_fader_db,
      config.back_off_db,
      run.won_db,
      run.lost_db,
      run.net_db(),
      run.spare_db);
  return text;
}

}  // namespace brink::robot
