#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/book/book_command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "ear/progress.h"
#include "io/book/book_reader.h"
#include "report/book/book_json.h"

namespace brink::cli {
namespace {

struct ScoreOptions {
  std::string book;
  std::string trainee;
  std::string format = "text";
  std::string output;
  bool replaces = false;
  bool is_by_week = false;  ///< sums instead of guesses
};

std::vector<std::string> trainees(io::BookReader& reader, const std::string& wanted) {
  std::vector<std::string> names;
  for (const io::TraineeSummary& trainee : reader.trainees()) {
    if (wanted.empty() || trainee.name == wanted) {
      names.push_back(trainee.name);
    }
  }
  if (names.empty() && !wanted.empty()) {
    throw base::Error(fmt::format("the book has no trainee '{}'.", base::printable(wanted)));
  }
  return names;
}

std::string summary(const std::string& name, const std::vector<show::GuessRecord>& guesses) {
  const ear::EarProgress progress = ear::progress_of(guesses, name);
  const std::string bits =
      progress.octave_bits ? fmt::format(", at least {:.1f} bits", *progress.octave_bits) : "";
  return fmt::format(
      "{}: {} guess{}, off by {:.0f} cents (median; mean {:.0f}), {:.0f} % within a third-octave, "
      "{:.1f} s (median){}\n",
      base::printable(name),
      progress.all.count,
      progress.all.count == 1 ? "" : "es",
      progress.all.median_error_cents,
      progress.all.mean_error_cents,
      100.0 * progress.all.hit_share,
      progress.all.median_took_s,
      bits);
}

/// The table of one trainee. Only the first has the head line.
std::string as_csv(const std::vector<show::GuessRecord>& guesses,
                   const std::string& name,
                   bool is_by_week,
                   bool is_first) {
  const std::string csv = is_by_week ? ear::progress_csv(ear::progress_of(guesses, name))
                                     : ear::guesses_csv(guesses, name);
  return is_first ? csv : csv.substr(csv.find('\n') + 1);
}

std::string as_json(const std::vector<show::GuessRecord>& guesses) {
  std::string text;
  for (const show::GuessRecord& guess : guesses) {
    text += report::score_json(guess);
  }
  return text;
}

int scores(const ScoreOptions& options) {
  if (options.is_by_week && options.format != "csv") {
    throw base::Error("--by-week is a table; take it with --format csv.");
  }
  const auto path = book_to_list(options.book);
  if (!path) {
    return kDone;
  }
  io::BookReader reader(*path);
  const auto names = trainees(reader, options.trainee);
  if (names.empty()) {
    say("no scores.");
  }
  Output output(options.output,
                {{R"({"schema":"brink/score/)", ear::guesses_csv({}, ""), ear::progress_csv({})},
                 options.replaces,
                 {*path}});
  bool is_first = true;
  for (const std::string& name : names) {
    const auto guesses = reader.guesses(name);
    const std::string text = options.format == "json" ? as_json(guesses)
                             : options.format == "csv"
                                 ? as_csv(guesses, name, options.is_by_week, is_first)
                                 : summary(name, guesses);
    is_first = false;
    if (!output.write(text)) {
      break;
    }
  }
  output.finish();
  return kDone;
}

}  // namespace

void add_book_scores(CLI::App& book, Work& work) {
  const auto options = std::make_shared<ScoreOptions>();
  CLI::App* const command = book.add_subcommand("scores", "What trainees guessed by ear");
  command->add_option("--trainee", options->trainee, "Only of this one")->type_name("NAME");
  command->add_option("--format", options->format, "text, json or csv; import takes the json back")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json", "csv"}))
      ->capture_default_str();
  command->add_option("--output", options->output, "Into this file instead of the screen")
      ->type_name("FILE")
      ->check(not_empty());
  add_replace_flag(*command, options->replaces);
  command->add_flag("--by-week",
                    options->is_by_week,
                    "Sums for each week and third-octave instead of guesses (csv)");
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book scores --trainee Ada --format csv --output ada.csv\n");
  command->callback([options, &work] { work = [options] { return scores(*options); }; });
}

}  // namespace brink::cli
