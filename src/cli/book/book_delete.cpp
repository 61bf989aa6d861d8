#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "base/time_of_day.h"
#include "cli/book/book_command.h"
#include "cli/output.h"
#include "io/book/book_reader.h"
#include "io/whole_file.h"
#include "report/book/book_choice.h"

namespace brink::cli {
namespace {

struct DeleteOptions {
  std::string book;
  std::vector<std::string> shows;
  bool is_sure = false;
};

std::string describe(const show::ShowRecord& show) {
  return fmt::format("'{}' at '{}', {}, with {} output{}",
                     base::printable(show.name),
                     base::printable(show.venue),
                     base::printable(base::short_time(show.started_at)),
                     show.outputs.size(),
                     show.outputs.size() == 1 ? "" : "s");
}

/// Asks the user, who types a word.
bool confirms(const std::vector<show::ShowRecord>& shows) {
  for (const show::ShowRecord& show : shows) {
    say("delete " + describe(show) + "?");
  }
  say("type yes to delete for good:");
  std::string answer;
  std::getline(std::cin, answer);
  return answer == "yes";
}

int delete_shows(const DeleteOptions& options) {
  const std::string path = book_to_read(options.book);
  io::BookReader reader(path);
  std::vector<show::ShowRecord> shows;
  io::BookAction action;
  for (const std::string& text : options.shows) {
    if (text == "last") {
      throw base::Error("delete wants the digits of the key, so that it is the show you mean.");
    }
    shows.push_back(report::choose_show(reader, text));
    action.erased_shows.push_back(shows.back().key);
  }
  if (!options.is_sure && !confirms(shows)) {
    throw base::Error("nothing was deleted: neither --yes was given nor 'yes' typed.");
  }
  keep_now(path, std::move(action));
  for (const show::ShowRecord& show : shows) {
    say("deleted " + describe(show) + ".");
  }
  return kDone;
}

}  // namespace

void add_book_delete(CLI::App& book, Work& work) {
  const auto options = std::make_shared<DeleteOptions>();
  CLI::App* const command = book.add_subcommand("delete", "Take shows out of the book for good");
  command->add_option("shows", options->shows, "The first digits of their keys")
      ->type_name("KEY")
      ->required();
  command->add_flag("--yes", options->is_sure, "Do not ask");
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book delete 4f2a91c0\n");
  command->callback([options, &work] { work = [options] { return delete_shows(*options); }; });
}

}  // namespace brink::cli
