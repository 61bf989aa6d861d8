#include "show/compare.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/analyse_jobs.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/progress.h"
#include "report/analysis/analysis_compare.h"
#include "report/book/book_text.h"

namespace brink::cli {
namespace {

struct CompareOptions {
  std::string before;
  std::string now;
  double tolerance_cents = show::kSameRingCents;
  std::string format = "text";
  bool is_quiet = false;
};

int compare(const CompareOptions& options) {
  constexpr int kShellSignalBase = 128;
  AnalyseJobs jobs(
      {options.before, options.now}, {}, usual_jobs(), [] { return interrupt_signal() != 0; });
  std::vector<listen::Analysis> analyses;
  int status = kDone;
  for (const std::string& file : {options.before, options.now}) {
    ProgressLine progress(base::printable(file), !options.is_quiet);
    listen::Analysis analysis = jobs.next([&](double done_ratio) { progress.show(done_ratio); });
    if (analysis.was_stopped) {
      return kShellSignalBase + interrupt_signal();
    }
    for (const std::string& sentence : listen::warnings(analysis)) {
      say(sentence);
    }
    status = analysis.shortfall.empty() ? status : kBadInput;
    analyses.push_back(std::move(analysis));
  }
  const auto [before, now, visits] =
      report::compare_recordings(analyses[0], analyses[1], options.tolerance_cents);
  Output output({});
  (void)output.write(options.format == "json" ? report::comparison_json(before, now, visits)
                                              : report::comparison_text(before, now, visits));
  output.finish();
  return status;
}

}  // namespace

void add_compare(CLI::App& app, Work& work) {
  const auto options = std::make_shared<CompareOptions>();
  CLI::App* const command = app.add_subcommand(
      "compare", "Two recordings: what rang in both, in one alone, and how the places moved");
  command->add_option("BEFORE", options->before, "The earlier recording")
      ->required()
      ->check(not_empty());
  command->add_option("NOW", options->now, "The later recording")->required()->check(not_empty());
  command->add_option("--within", options->tolerance_cents, "Cents within which two rings are one")
      ->type_name("CENTS")
      ->check(number_in(1.0, 600.0))
      ->capture_default_str();
  command->add_option("--format", options->format, "text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  command->add_flag("--quiet", options->is_quiet, "No progress on the screen");
  command->footer("Example:\n  brink compare soundcheck.wav show.wav\n");
  command->callback([options, &work] {
    work = [options] {
      catch_interrupts();
      return compare(*options);
    };
  });
}

}  // namespace brink::cli
