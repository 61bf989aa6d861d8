#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <charconv>
#include <map>
#include <memory>
#include <optional>
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
#include "io/sound_file.h"
#include "listen/analysis.h"
#include "report/analysis/analysis_csv.h"
#include "report/analysis/analysis_json.h"
#include "report/analysis/analysis_labels.h"
#include "report/analysis/analysis_svg.h"
#include "report/analysis/analysis_text.h"

namespace brink::cli {
namespace {

constexpr int kMostJobs = 256;

struct AnalyseOptions {
  std::vector<std::string> files;
  std::string channel = "all";
  std::string format = "text";
  std::string order = "time";
  std::string output;
  std::string names;
  bool replaces = false;
  double sure = 0.0;
  int jobs = usual_jobs();
  bool wants_all = false;
  bool fails_on_ring = false;
  bool is_quiet = false;
};

std::optional<int> to_channel(const std::string& text) {
  if (text == "all") {
    return std::nullopt;
  }
  int channel = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), channel);
  const bool is_number = error == std::errc() && end == text.data() + text.size();
  if (!is_number || channel < 1 || channel > io::kMostChannels) {
    throw base::Error(fmt::format("--channel takes a number from 1 to {}, or 'all', not '{}'.",
                                  io::kMostChannels,
                                  base::printable(text)));
  }
  return channel;
}

/// A line of a label track names no file, and a picture is one of one recording.
void ask_for_one_recording(const AnalyseOptions& options) {
  if (options.format == "svg" && options.files.size() > 1) {
    throw base::Error("--format svg writes the picture of one recording; name one FILE at a time.");
  }
  if (options.format == "labels" && options.files.size() > 1) {
    throw base::Error(
        "--format labels writes the label track of one recording; name one FILE at a time.");
  }
}

io::ReplaceRule replace_rule(const AnalyseOptions& options) {
  return {{R"({"schema":"brink/analysis/)", report::kCsvBeginning, report::kAnalysisSvgBeginning},
          options.replaces,
          options.files};
}

class AnalyseRun {
 public:
  explicit AnalyseRun(const AnalyseOptions& options)
      : options_(options),
        names_(read_names(options.names)),
        output_(options.output, replace_rule(options)),
        jobs_(options.files,
              {to_channel(options.channel), options.sure, options.wants_all, 1, names_},
              options.jobs,
              [] { return interrupt_signal() != 0; }) {}

  int run();

 private:
  /// False when it is time to stop: nobody reads any more, or the user said so.
  bool run_file(const std::string& file);
  [[nodiscard]] std::string report(const listen::Analysis& analysis);

  void fail(std::string_view sentence) {
    say(sentence);
    status_ = kBadInput;
  }

  const AnalyseOptions& options_;
  show::ChannelNames names_;
  Output output_;
  AnalyseJobs jobs_;
  bool has_header_ = false;
  int ring_count_ = 0;
  int status_ = kDone;
};

std::string AnalyseRun::report(const listen::Analysis& analysis) {
  const bool is_first = !std::exchange(has_header_, true);
  if (options_.format == "json") {
    return report::report_json(analysis, options_.wants_all);
  }
  if (options_.format == "csv") {
    return (is_first ? report::report_csv_header() : "") +
           report::report_csv(analysis, options_.wants_all);
  }
  if (options_.format == "svg") {
    return report::report_svg(analysis);
  }
  if (options_.format == "labels") {
    return report::report_labels(analysis, options_.wants_all);
  }
  return (is_first ? "" : "\n") + report::report_text(analysis,
                                                      options_.wants_all,
                                                      options_.order == "danger"
                                                          ? listen::RowOrder::kDanger
                                                          : listen::RowOrder::kTime);
}

bool AnalyseRun::run_file(const std::string& file) {
  std::string text;
  try {
    ProgressLine progress(base::printable(file), !options_.is_quiet);
    const listen::Analysis analysis =
        jobs_.next([&](double done_ratio) { progress.show(done_ratio); });
    if (analysis.was_stopped) {
      return false;
    }
    text = report(analysis);
    ring_count_ += static_cast<int>(analysis.rings.size());
    for (const std::string& sentence : listen::warnings(analysis)) {
      say(sentence);
    }
    if (const int last = names_.last_channel(); last > analysis.channels) {
      say(fmt::format(
          "{} names channel {}, and the last one of {} is {}; names beyond it are left out.",
          base::printable(options_.names),
          last,
          base::printable(file),
          analysis.channels));
    }
    if (!analysis.shortfall.empty()) {
      status_ = kBadInput;  // what was there is printed all the same
    }
  } catch (const base::Error& error) {
    fail(error.what());
    return true;
  }
  return output_.write(text);
}

int AnalyseRun::run() {
  for (const std::string& file : options_.files) {
    if (!run_file(file)) {
      break;
    }
  }
  if (interrupt_signal() != 0) {
    constexpr int kShellSignalBase = 128;
    return kShellSignalBase + interrupt_signal();  // --output keeps what was there before
  }
  output_.finish();
  const bool has_findings = options_.fails_on_ring && ring_count_ > 0;
  return status_ == kDone && has_findings ? kFindings : status_;
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink analyse soundcheck.wav\n"
    "  brink analyse --order danger soundcheck.wav\n"
    "  brink analyse --channel 3 --format csv --output rings.csv show-*.flac\n"
    "  brink analyse --format labels --output soundcheck.txt soundcheck.wav\n"
    "  brink analyse --format svg --output soundcheck.svg soundcheck.wav\n"
    "\n"
    "Exit status: 0 done; 1 something rang (with --fail-on-ring); 2 bad input or use,\n"
    "or a recording that ends before its header says. A file that fails does not\n"
    "keep the others from being analysed.";

}  // namespace

void add_analyse(CLI::App& app, Work& work) {
  const auto options = std::make_shared<AnalyseOptions>();
  CLI::App* const command =
      app.add_subcommand("analyse", "Find the rings in recordings, and the cuts against them");
  command
      ->add_option(
          "FILE", options->files, "Recordings: WAV, W64, FLAC, AIFF, CAF, Ogg; 8 to 192 kHz")
      ->required()
      ->check(not_empty());
  command->add_option("--channel", options->channel, "One channel by its number, or all")
      ->type_name("N|all")
      ->capture_default_str();
  command
      ->add_option("--format",
                   options->format,
                   "How to write it: text, json, csv, labels or svg, a picture (text)")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json", "csv", "labels", "svg"}));
  command
      ->add_option("--order",
                   options->order,
                   "Which ring the text names first: by time, or by what it could do (time)")
      ->type_name("time|danger")
      ->check(one_of({"time", "danger"}));
  command->add_option("--output", options->output, "Write to this file instead of the screen")
      ->type_name("FILE")
      ->check(not_empty());
  add_names(*command, options->names);
  add_replace_flag(*command, options->replaces);
  add_sure(*command, options->sure);
  command
      ->add_option("--jobs",
                   options->jobs,
                   "Files, and channels of a file, that are heard side by side (all cores)")
      ->type_name("N")
      ->check(number_in(1, kMostJobs));
  command->add_flag("--all", options->wants_all, "Also list what never became certain");
  command->add_flag(
      "--fail-on-ring", options->fails_on_ring, "Exit with status 1 when anything rang");
  command->add_flag("--quiet", options->is_quiet, "No progress on the screen");
  command->footer(kExamples);
  command->callback([options, &work] {
    work = [options] {
      catch_interrupts();
      ask_for_one_recording(*options);
      return AnalyseRun(*options).run();
    };
  });
}

}  // namespace brink::cli
