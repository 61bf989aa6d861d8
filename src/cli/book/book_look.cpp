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
#include "io/book/book_reader.h"
#include "report/book/book_choice.h"
#include "report/book/book_json.h"
#include "report/book/book_text.h"
#include "report/book/book_values.h"

namespace brink::cli {
namespace {

struct LookOptions {
  std::string book;
  std::string venue;
  std::string search;
  std::vector<std::string> keys;
  std::string format = "text";
  double tolerance_cents = show::kSameRingCents;
};

int print(const std::string& text) {
  Output screen{""};
  (void)screen.write(text);
  screen.finish();
  return kDone;
}

int list(const LookOptions& options) {
  const auto path = book_to_list(options.book);
  if (!path) {
    return kDone;
  }
  io::BookReader reader(*path);
  io::ShowFilter filter;
  filter.text = options.search;
  if (!options.venue.empty()) {
    filter.venue = report::choose_venue(reader, options.venue);
  }
  const auto shows = reader.shows(filter);
  if (shows.empty()) {
    say(options.search.empty() ? "no shows." : "no show has all of these words.");
  }
  return print(options.format == "json"  ? report::list_json(shows)
               : options.format == "csv" ? report::list_csv(shows)
                                         : report::list_text(shows));
}

int show(const LookOptions& options) {
  io::BookReader reader(book_to_read(options.book));
  const show::ShowRecord record = report::choose_show(reader, options.keys.front());
  return print(options.format == "json" ? report::show_json(record) : report::show_text(record));
}

int compare(const LookOptions& options) {
  io::BookReader reader(book_to_read(options.book));
  if (!options.venue.empty() && !options.keys.empty()) {
    throw base::Error("compare takes shows or --venue, not both.");
  }
  show::ShowRecord now;
  show::ShowRecord before;
  if (options.keys.size() == 2) {
    before = report::choose_show(reader, options.keys[0]);
    now = report::choose_show(reader, options.keys[1]);
    if (report::is_before(now, before)) {
      std::swap(before, now);
    }
  } else {
    if (options.venue.empty()) {
      now = report::choose_show(reader, options.keys.empty() ? "last" : options.keys.front());
    } else {
      io::ShowFilter visits;
      visits.venue = report::choose_venue(reader, options.venue);
      visits.most = 1;
      now = report::choose_show(reader, reader.shows(visits).at(0).key);
    }
    before = report::previous_visit(reader, now);
  }
  const auto comparison = show::compare_visits(before, now, options.tolerance_cents);
  return print(options.format == "json" ? report::comparison_json(before, now, comparison)
                                        : report::comparison_text(before, now, comparison));
}

int check(const LookOptions& options) {
  const std::string path = book_to_read(options.book);
  io::BookReader reader(path);
  const auto faults = reader.faults();
  if (!faults.empty()) {
    throw base::Error(base::printable(path) + ": is damaged (" + base::printable(faults.front()) +
                      "); move it away and put a copy in its place.");
  }
  std::string first;
  std::size_t count = 0;
  const auto note = [&](const std::string& what, const std::string& fault) {
    if (!fault.empty() && count++ == 0) {
      first = what + ", " + fault;
    }
  };
  for (const io::ShowSummary& summary : reader.shows()) {
    if (const auto show = reader.show(summary.key)) {
      note("show " + show->key.substr(0, 8), report::fault_in(*show));
    }
  }
  for (const show::GuessRecord& guess : reader.guesses()) {
    note("guess " + guess.key.substr(0, 8), report::fault_in(guess));
  }
  if (count > 0) {
    throw base::Error(fmt::format(
        "{}: has {} with a value that cannot be ({}); export it, mend it, and import it with "
        "--replace.",
        base::printable(path),
        count == 1 ? "one record" : fmt::format("{} records", count),
        first));
  }
  return print("The book is sound.\n");
}

void add_format(CLI::App& command, std::string& format, const std::vector<std::string>& words) {
  std::string list;
  for (const std::string& word : words) {
    list += (list.empty() ? "" : " or ") + word;
  }
  command.add_option("--format", format, list)
      ->type_name("FORMAT")
      ->check(one_of(words))
      ->capture_default_str();
}

}  // namespace

void add_book_list(CLI::App& book, Work& work) {
  const auto options = std::make_shared<LookOptions>();
  CLI::App* const command = book.add_subcommand("list", "The shows, newest first");
  command->add_option("--venue", options->venue, "Only of this venue; a part of its name will do")
      ->type_name("NAME");
  command
      ->add_option("--search", options->search, "Only those that have all these words in any text")
      ->type_name("WORDS");
  add_format(*command, options->format, {"text", "json", "csv"});
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book list --search 'lead voice'\n");
  command->callback([options, &work] { work = [options] { return list(*options); }; });
}

void add_book_show(CLI::App& book, Work& work) {
  const auto options = std::make_shared<LookOptions>();
  CLI::App* const command = book.add_subcommand("show", "All of one show");
  command->add_option("show", options->keys, "'last', or the first digits of its key")
      ->type_name("KEY")
      ->required()
      ->expected(1);
  add_format(*command, options->format, {"text", "json"});
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book show last\n");
  command->callback([options, &work] { work = [options] { return show(*options); }; });
}

void add_book_compare(CLI::App& book, Work& work) {
  const auto options = std::make_shared<LookOptions>();
  CLI::App* const command = book.add_subcommand(
      "compare", "Two visits of a venue: what rang again, what is new, which cut is not needed");
  command
      ->add_option(
          "shows", options->keys, "Two shows; one: with the visit before it; none: the last show")
      ->type_name("KEY")
      ->expected(0, 2);
  command->add_option("--venue", options->venue, "The last two visits of this venue")
      ->type_name("NAME");
  command->add_option("--within", options->tolerance_cents, "Rings so far apart count as the same")
      ->type_name("CENTS")
      ->check(number_in(1.0, 1200.0))
      ->capture_default_str();
  add_format(*command, options->format, {"text", "json"});
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book compare --venue larkfield --within 50\n");
  command->callback([options, &work] { work = [options] { return compare(*options); }; });
}

void add_book_check(CLI::App& book, Work& work) {
  const auto options = std::make_shared<LookOptions>();
  CLI::App* const command = book.add_subcommand("check", "Look whether the file is sound");
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book check\n");
  command->callback([options, &work] { work = [options] { return check(*options); }; });
}

}  // namespace brink::cli
