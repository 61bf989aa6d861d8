#include "show/compare.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/analyse_jobs.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/progress.h"
#include "listen/danger.h"
#include "report/analysis/analysis_json.h"
#include "report/book/book_merge.h"
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

/// The recording as a show, with an output for each channel; both recordings name them alike.
show::ShowRecord to_show(const listen::Analysis& analysis) {
  show::ShowRecord show;
  show.name = std::filesystem::path(analysis.file).filename().string();
  const report::MergeConfig config{{}, {}, "recording", {}};
  const listen::Analysis unfolded =
      listen::only_rows(analysis, listen::to_rows(analysis.rings, listen::RowOrder::kTime));
  show.outputs =
      report::parse_analysis(report::report_json(unfolded, false), analysis.file, config);
  return show;
}

int compare(const CompareOptions& options) {
  constexpr int kShellSignalBase = 128;
  AnalyseJobs jobs(
      {options.before, options.now}, {}, usual_jobs(), [] { return interrupt_signal() != 0; });
  std::vector<show::ShowRecord> shows;
  int status = kDone;
  for (const std::string& file : {options.before, options.now}) {
    ProgressLine progress(base::printable(file), !options.is_quiet);
    const listen::Analysis analysis =
        jobs.next([&](double done_ratio) { progress.show(done_ratio); });
    if (analysis.was_stopped) {
      return kShellSignalBase + interrupt_signal();
    }
    for (const std::string& sentence : listen::warnings(analysis)) {
      say(sentence);
    }
    status = analysis.shortfall.empty() ? status : kBadInput;
    shows.push_back(to_show(analysis));
  }
  const auto comparison = show::compare_visits(shows[0], shows[1], options.tolerance_cents);
  Output output({});
  (void)output.write(options.format == "json"
                         ? report::comparison_json(shows[0], shows[1], comparison)
                         : report::comparison_text(shows[0], shows[1], comparison));
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
