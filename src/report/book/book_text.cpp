#include "report/book/book_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "base/printable.h"
#include "base/time_of_day.h"
#include "base/units.h"
#include "base/utf8.h"
#include "show/cut_words.h"
#include "show/gain_won.h"
#include "show/kept_target.h"
#include "show/last_check.h"

namespace brink::report {
namespace {

constexpr std::size_t kKeyDigits = 8;  ///< enough to tell a lifetime of shows apart

std::string plural(int count, const char* one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

std::string hz_text(double frequency_hz) {
  return frequency_hz < 100.0 ? fmt::format("{:.1f} Hz", frequency_hz)
                              : fmt::format("{:.0f} Hz", frequency_hz);
}

std::string padded(std::string text, std::size_t columns) {
  const std::size_t has = base::count_characters(text);
  return has < columns ? text.append(columns - has, ' ') : text;
}

std::string won_text(const std::optional<double>& won_db) {
  return won_db ? fmt::format("{:+.1f} dB", *won_db) : "-";
}

std::string dressed_or(const std::string& text, const char* empty) {
  return text.empty() ? empty : base::printable(text);
}

/// "  what        words", nothing for no words.
std::string line(const char* what, const std::string& words) {
  return words.empty() ? "" : fmt::format("  {:<14} {}\n", what, base::printable(words));
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) {
    text += (text.empty() ? "" : ", ") + word;
  }
  return text;
}

std::string fader_text(const show::RoundRecord& round) {
  std::string text;
  if (round.rang_at_db) {
    text += fmt::format(", rang at {:+.1f} dB", *round.rang_at_db);
  }
  if (round.returned_at_db) {
    text += fmt::format(", something came back at {:+.1f} dB", *round.returned_at_db);
  }
  return text;
}

std::string round_text(std::size_t number,
                       const show::RoundRecord& round,
                       cuts::Target::Kind kind) {
  const show::RingRecord& ring = round.ring;
  std::string text = fmt::format("  {:>3}. {:>8} ", number, hz_text(ring.frequency_hz));
  if (ring.frequency_hz > 0.0) {
    text += fmt::format("({})", base::note_name(ring.frequency_hz));
  }
  text += fmt::format(", {:+.0f} dB/s", ring.growth_db_per_s);
  if (ring.laeq_1s_db) {
    text += fmt::format(", LAeq {:.0f} dB", *ring.laeq_1s_db);
  }
  if (!ring.flagged_at.empty()) {
    text += fmt::format(", {}", base::printable(base::short_time(ring.flagged_at)));
  }
  text += round.cut ? fmt::format("\n       cut {}", show::cut_text(*round.cut, kind))
          : round.proposed
              ? fmt::format("\n       not cut; proposed {}", show::cut_text(*round.proposed, kind))
              : std::string("\n       not cut");
  text += round.has_faded ? ", faded" : "";
  text += fader_text(round);
  return text + (round.note.empty() ? "" : "; " + base::printable(round.note)) + "\n";
}

/// "6.0", or "4.1 to 6.0" where the delay was not known.
std::string span_text(double least, double most) {
  const std::string low = fmt::format("{:.1f}", least);
  const std::string high = fmt::format("{:.1f}", most);
  return low == high ? low : low + " to " + high;
}

std::string sweep_text(const show::SweepRecord& sweep, cuts::Target::Kind kind) {
  std::string text = "  sweep";
  if (!sweep.made_at.empty()) {
    text += " " + base::printable(base::short_time(sweep.made_at));
  }
  if (sweep.level_dbfs) {
    text += fmt::format(", {:g} dBFS", *sweep.level_dbfs);
  }
  if (sweep.over_noise_db) {
    text += fmt::format(", {:.0f} dB over the noise", *sweep.over_noise_db);
  }
  text += fmt::format("\n       {} dB {}",
                      span_text(sweep.stable_gain_db, sweep.stable_gain_most_db),
                      sweep.console_gain_db ? "until the first ring" : "of gain rings first");
  for (const show::ForeseenRecord& ring : sweep.rings) {
    text += fmt::format("{} {} {:+.1f} dB",
                        &ring == &sweep.rings.front() ? ":" : ",",
                        hz_text(ring.frequency_hz),
                        ring.until_db);
  }
  std::vector<std::string> cuts;
  for (const cuts::Band& cut : sweep.cuts) {
    cuts.push_back(show::cut_text(cut, kind));
  }
  if (!cuts.empty()) {
    text += fmt::format("\n       cuts {}, foretold to win {} dB and cost {:.1f} dB",
                        joined(cuts),
                        span_text(sweep.won_least_db, sweep.won_most_db),
                        sweep.lost_db);
  }
  for (const std::string& warning : sweep.warnings) {
    text += "\n       " + base::printable(warning);
  }
  return text + (sweep.note.empty() ? "" : "; " + base::printable(sweep.note)) + "\n";
}

/// A target is a whole file: its first line tells which.
std::string first_line(const std::string& text) {
  return text.substr(0, text.find('\n'));
}

/// How an output was ended, and what may be said of its margin.
std::string end_text(const show::OutputRecord& output) {
  if (!show::has_rung(output)) {
    const std::string up_to =
        output.tried_to_db ? fmt::format(", tried up to {:+.1f} dB", *output.tried_to_db) : "";
    return output.is_ended || output.tried_to_db ? "nothing rang" + up_to : "";
  }
  if (!output.back_off_db) {
    return "";
  }
  const auto leave_db = show::leave_at_db(output);
  return fmt::format("{:.1f} dB backed off", *output.back_off_db) +
         (leave_db ? fmt::format(", leave at {:+.1f} dB", *leave_db) : "");
}

std::string output_text(const show::OutputRecord& output) {
  const cuts::Target::Kind kind = show::kept_kind(output.target);
  std::string text = fmt::format("\n{}\n", dressed_or(output.name, "(without a name)"));
  text += line("microphone", output.microphone);
  text += line("position", output.position);
  text += line("target", first_line(output.target));
  text += line("prepared", joined(output.prepared));
  for (const show::SweepRecord& sweep : output.sweeps) {
    text += sweep_text(sweep, kind);
  }
  for (std::size_t i = 0; i < output.rounds.size(); ++i) {
    text += round_text(i + 1, output.rounds[i], kind);
  }
  std::vector<std::string> cuts;
  cuts.reserve(output.cuts.size());
  for (const cuts::Band& cut : output.cuts) {
    cuts.push_back(show::cut_text(cut, kind));
  }
  text += line("equaliser", joined(cuts));
  if (const auto won = show::gain_won_db(output)) {
    text += line("won", won_text(won));
  }
  text += line("ended", end_text(output));
  text += line("advice then", output.advice);
  text += line("note", output.note);
  return text;
}

std::string visit_text(const char* which, const show::ShowRecord& show) {
  return fmt::format("{:<7} {}  {}  {}  {}\n",
                     which,
                     base::printable(base::short_time(show.started_at)),
                     dressed_or(show.venue, "-"),
                     dressed_or(show.name, "-"),
                     show.key.substr(0, kKeyDigits));
}

std::string times_text(const show::VisitRing& ring) {
  return ring.times > 1 ? fmt::format(", {} times", ring.times) : "";
}

std::string compared_text(const show::OutputComparison& output) {
  std::string text = fmt::format("\n{}\n", dressed_or(output.name, "(without a name)"));
  if (output.won_before_db || output.won_now_db) {
    text += fmt::format("  {:<22} {}, before {}\n",
                        "won",
                        won_text(output.won_now_db),
                        won_text(output.won_before_db));
  }
  for (const show::RingPair& pair : output.again) {
    text += fmt::format("  {:<22} {:>8}{}, before {} ({:+.0f} cents){}\n",
                        "rang again",
                        hz_text(pair.now.frequency_hz),
                        times_text(pair.now),
                        hz_text(pair.before.frequency_hz),
                        pair.apart_cents,
                        times_text(pair.before));
  }
  for (const show::VisitRing& ring : output.fresh) {
    text += fmt::format("  {:<22} {:>8}{}\n", "new", hz_text(ring.frequency_hz), times_text(ring));
  }
  for (const show::VisitRing& ring : output.quiet) {
    text += fmt::format(
        "  {:<22} {:>8}{}\n", "quiet this time", hz_text(ring.frequency_hz), times_text(ring));
  }
  for (const cuts::Band& cut : output.needless) {
    text += fmt::format("  {:<22} {:>8} Q {:.3g} {:.3g} dB\n",
                        "cut no longer needed",
                        hz_text(cut.centre_hz),
                        cut.q,
                        cut.depth_db);
  }
  if (output.again.empty() && output.fresh.empty() && output.quiet.empty()) {
    text += "  nothing rang on either visit\n";
  }
  return text;
}

}  // namespace

std::string list_text(std::span<const io::ShowSummary> shows) {
  std::size_t venue_columns = 5;
  std::size_t name_columns = 4;
  constexpr std::size_t kWidest = 32;
  for (const io::ShowSummary& show : shows) {
    venue_columns = std::max(venue_columns, std::min(kWidest, base::count_characters(show.venue)));
    name_columns = std::max(name_columns, std::min(kWidest, base::count_characters(show.name)));
  }
  std::string text;
  for (const io::ShowSummary& show : shows) {
    text += fmt::format("{}  {}  {}  {:>10}  {:>11}  {:>8}  {}\n",
                        padded(base::printable(base::short_time(show.started_at)), 16),
                        padded(dressed_or(show.venue, "-"), venue_columns),
                        padded(dressed_or(show.name, "-"), name_columns),
                        plural(show.output_count, "output"),
                        plural(show.round_count, "round"),
                        won_text(show.won_db),
                        base::printable(show.key.substr(0, kKeyDigits)));
  }
  return text;
}

std::string show_text(const show::ShowRecord& show) {
  std::string text = fmt::format("{}, {}, {}\n",
                                 dressed_or(show.venue, "(no venue)"),
                                 dressed_or(show.name, "(no name)"),
                                 base::printable(base::short_time(show.started_at)));
  text += line("key", show.key);
  text += line("note", show.note);
  for (const show::OutputRecord& output : show.outputs) {
    text += output_text(output);
  }
  if (!show.dismissals.empty()) {
    text += "\nNot a ring\n";
  }
  for (const show::DismissalRecord& dismissal : show.dismissals) {
    text += fmt::format("  {:>8}  {}  {}\n",
                        hz_text(dismissal.frequency_hz),
                        base::printable(base::short_time(dismissal.dismissed_at)),
                        base::printable(dismissal.reason));
  }
  return text + (show.check ? fmt::format("\nLast check, all open: {}\n",
                                          base::printable(show::check_words(*show.check)))
                            : "");
}

std::string comparison_text(const show::ShowRecord& before,
                            const show::ShowRecord& now,
                            const show::VisitComparison& comparison) {
  std::string text = visit_text("before", before) + visit_text("now", now);
  text += fmt::format("Rings within {:g} cents of one another count as the same.\n",
                      comparison.tolerance_cents);
  for (const show::OutputComparison& output : comparison.outputs) {
    text += compared_text(output);
  }
  if (!comparison.only_before.empty()) {
    text += fmt::format("\nOnly before: {}\n", base::printable(joined(comparison.only_before)));
  }
  if (!comparison.only_now.empty()) {
    text += fmt::format("\nOnly now: {}\n", base::printable(joined(comparison.only_now)));
  }
  return text;
}

}  // namespace brink::report
