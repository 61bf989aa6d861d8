#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <iterator>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "base/time_of_day.h"
#include "cli/book/book_command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "io/book/book_reader.h"
#include "io/files.h"
#include "io/text_file.h"
#include "report/book/book_choice.h"
#include "report/book/book_import.h"
#include "report/book/book_json.h"
#include "report/book/book_merge.h"
#include "report/book/book_text.h"
#include "show/session_event.h"

namespace brink::cli {
namespace {

struct FileOptions {
  std::string book;
  std::vector<std::string> shows;
  std::vector<std::string> files;
  std::string format = "json";
  std::string output;
  bool replaces = false;
  std::string started;
  report::MergeConfig merge;
};

constexpr std::size_t kLongestFileBytes = std::size_t{1} << 30U;

std::string text_name(const std::string& path) {
  return path == "-" ? "standard input" : base::printable(path);
}

std::vector<std::string> keys_to_export(io::BookReader& reader,
                                        const std::vector<std::string>& chosen) {
  std::vector<std::string> keys;
  keys.reserve(chosen.size());
  for (const std::string& text : chosen) {
    keys.push_back(report::choose_show(reader, text).key);
  }
  if (chosen.empty()) {
    for (const io::ShowSummary& show : reader.shows()) {
      keys.push_back(show.key);
    }
  }
  return keys;
}

int export_shows(const FileOptions& options) {
  const auto path = options.shows.empty() ? book_to_list(options.book) : book_to_read(options.book);
  if (!path) {
    return kDone;
  }
  io::BookReader reader(*path);
  const auto keys = keys_to_export(reader, options.shows);
  const bool is_csv = options.format == "csv";
  Output output(
      options.output,
      {{R"({"schema":"brink/book/)", report::shows_csv_header()}, options.replaces, {*path}});
  bool is_wanted = !is_csv || output.write(report::shows_csv_header());
  for (auto key = keys.begin(); key != keys.end() && is_wanted; ++key) {
    // Another program may have deleted a show since the list was read.
    if (const auto show = reader.show(*key)) {
      is_wanted = output.write(is_csv ? report::show_csv(*show) : report::show_json(*show));
    }
  }
  output.finish();
  return kDone;
}

int import_files(const FileOptions& options) {
  const std::string path = book_to_write(options.book);
  io::BookAction brought;
  for (const std::string& file : options.files) {
    io::BookAction more =
        report::parse_book(io::read_text_file(file, kLongestFileBytes), text_name(file));
    std::move(more.shows.begin(), more.shows.end(), std::back_inserter(brought.shows));
    std::move(more.guesses.begin(), more.guesses.end(), std::back_inserter(brought.guesses));
  }
  io::BookReader reader(path);
  report::Import import = report::plan_import(reader, std::move(brought), options.replaces);
  if (!import.action.shows.empty() || !import.action.guesses.empty()) {
    keep_now(path, std::move(import.action));
  }
  std::string sentence =
      fmt::format("{} new, {} already there", import.new_count, import.same_count);
  if (import.changed_count > 0) {
    sentence += fmt::format(", {} ", import.changed_count);
    sentence += options.replaces ? "replaced"
                                 : "otherwise in the book and left as they are (--replace takes "
                                   "the file's)";
  }
  say(sentence + ".");
  return kDone;
}

/// When the first of the recordings that are still where they were analysed was last written, as a
/// recorder does at its end; empty when none is there. Never now: a recording is not tonight's
/// show.
std::string recorded_at(const std::vector<std::string>& recordings) {
  for (const std::string& file : recordings) {
    if (const auto facts = io::facts_of(file)) {
      return base::wall_text(std::chrono::system_clock::from_time_t(facts->written));
    }
  }
  return {};
}

int merge_files(const FileOptions& options) {
  report::MergeConfig config = options.merge;
  if (!options.started.empty()) {
    config.started = base::parse_time(options.started);
    if (!config.started) {
      throw base::Error(
          fmt::format("--started: '{}' is no time of day; write 2026-05-01T19:00+02:00.",
                      base::printable(options.started)));
    }
  }
  if (options.files.size() > 1 && !config.output.empty()) {
    throw base::Error("--output names the output of one recording; give one file.");
  }
  std::vector<show::OutputRecord> outputs;
  std::vector<std::string> recordings;
  for (const std::string& file : options.files) {
    const std::string text = io::read_text_file(file, kLongestFileBytes);
    auto more = report::parse_analysis(text, text_name(file), config);
    std::move(more.begin(), more.end(), std::back_inserter(outputs));
    auto its = report::recordings_of(text);
    std::move(its.begin(), its.end(), std::back_inserter(recordings));
  }
  if (config.output.empty()) {
    report::check_names_differ(recordings);
  }
  const std::string path = book_to_write(options.book);
  io::BookReader reader(path);
  show::ShowRecord show;
  show.key = report::merged_key(config.venue, config.show);
  const auto before = reader.show(show.key);
  if (before) {
    show = *before;
  } else {
    show.venue = config.venue;
    show.name = config.show;
    show.started_at = recorded_at(recordings);
  }
  if (config.started) {
    show.started_at = base::time_text(*config.started);
  }
  report::merge_outputs(show, std::move(outputs));
  if (before == show) {
    say("nothing new: the book has all of it.");
    return kDone;
  }
  const std::string key = show.key;
  io::BookAction action;
  action.shows.push_back(std::move(show));
  keep_now(path, std::move(action));
  say(fmt::format("{} is now show {} of the book.",
                  options.files.size() == 1 ? "the analysis" : "what was analysed",
                  key.substr(0, 8)));
  return kDone;
}

}  // namespace

void add_book_export(CLI::App& book, Work& work) {
  const auto options = std::make_shared<FileOptions>();
  CLI::App* const command = book.add_subcommand(
      "export", "Write shows as JSON, one on a line, or as CSV, one round each");
  command->add_option("shows", options->shows, "Which; all when none is named")->type_name("KEY");
  command->add_option("--format", options->format, "json or csv")
      ->type_name("FORMAT")
      ->check(one_of({"json", "csv"}))
      ->capture_default_str();
  command->add_option("--output", options->output, "Into this file instead of the screen")
      ->type_name("FILE")
      ->check(not_empty());
  add_replace_flag(*command, options->replaces);
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book export --output shows.json\n");
  command->callback([options, &work] { work = [options] { return export_shows(*options); }; });
}

void add_book_import(CLI::App& book, Work& work) {
  const auto options = std::make_shared<FileOptions>();
  CLI::App* const command = book.add_subcommand(
      "import", "Take shows and scores from JSON that export or scores wrote; none comes twice");
  command->add_option("files", options->files, "What to read; - for stdin")
      ->type_name("FILE")
      ->required()
      ->check(not_empty());
  command->add_flag(
      "--replace", options->replaces, "Where the book has the same otherwise, take the file's");
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book import shows.json\n");
  command->callback([options, &work] { work = [options] { return import_files(*options); }; });
}

void add_book_merge(CLI::App& book, Work& work) {
  const auto options = std::make_shared<FileOptions>();
  CLI::App* const command = book.add_subcommand(
      "merge", "Make analyses of recordings a show: an output for each, with its rings");
  command->add_option("files", options->files, "What analyse --format json wrote; - for stdin")
      ->type_name("FILE")
      ->required()
      ->check(not_empty());
  command->add_option("--venue", options->merge.venue, "Where it was")
      ->type_name("NAME")
      ->required()
      ->check(not_empty());
  command->add_option("--show", options->merge.show, "What it was")
      ->type_name("NAME")
      ->required()
      ->check(not_empty());
  command
      ->add_option("--output",
                   options->merge.output,
                   "The loudspeaker feed that was recorded; else the recording's file name")
      ->type_name("NAME")
      ->check(not_empty());
  command
      ->add_option(
          "--started", options->started, "When the recording began: 2026-05-01T19:00+02:00")
      ->type_name("TIME");
  add_book_option(*command, options->book);
  command->footer(
      "Example:\n"
      "  brink analyse wedge.wav --format json |\n"
      "    brink book merge - --venue 'Larkfield Hall' --show 'Spring concert' --output 'wedge "
      "1'\n");
  command->callback([options, &work] { work = [options] { return merge_files(*options); }; });
}

}  // namespace brink::cli
