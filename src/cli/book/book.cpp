#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "cli/book/book_command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "io/paths.h"

namespace brink::cli {
namespace {

/// In the order of the help.
constexpr auto kBookCommands = std::to_array<AddBookCommand>({
    add_book_list,
    add_book_show,
    add_book_sheet,
    add_book_compare,
    add_book_export,
    add_book_import,
    add_book_merge,
    add_book_scores,
    add_book_delete,
    add_book_check,
});

/// A command waits so long for the disk. Then it gives up, and nothing was written.
constexpr double kPatienceS = 60.0;

constexpr const char* kExamples =
    "Examples:\n"
    "  brink book list --venue larkfield\n"
    "  brink book show last\n"
    "  brink book compare\n"
    "  brink book export --output shows.json\n"
    "\n"
    "The book is brink/book.sqlite in $XDG_DATA_HOME, or in ~/.local/share; --book names "
    "another.\n";

/// Refuses what is no file or cannot be read, with the reason.
bool is_there(const std::string& path) {
  std::error_code error;
  const std::filesystem::file_status status = std::filesystem::status(io::to_path(path), error);
  switch (status.type()) {
    case std::filesystem::file_type::not_found:
      return false;
    case std::filesystem::file_type::regular:
      return true;
    case std::filesystem::file_type::none:
      throw base::Error(
          fmt::format("{}: cannot be looked at ({}).", base::printable(path), error.message()));
    case std::filesystem::file_type::directory:
      throw base::Error(
          fmt::format("{}: is a directory; name the book's file in it.", base::printable(path)));
    default:
      throw base::Error(fmt::format("{}: is no file; a book is one.", base::printable(path)));
  }
}

std::string none_here(const std::string& path) {
  return fmt::format(
      "{}: there is no book here yet; ringing out in the window (brink) begins one, and so do "
      "'brink "
      "book import' and 'brink book merge'.",
      base::printable(path));
}

}  // namespace

void add_book_option(CLI::App& command, std::string& path) {
  command.add_option("--book", path, "Another book than your own")
      ->type_name("FILE")
      ->check(not_empty());
}

std::string book_to_read(const std::string& option) {
  std::string path = option.empty() ? io::default_book_path() : option;
  if (!is_there(path)) {
    throw base::Error(none_here(path));
  }
  return path;
}

std::optional<std::string> book_to_list(const std::string& option) {
  if (!option.empty() || is_there(io::default_book_path())) {
    return book_to_read(option);
  }
  say(none_here(io::default_book_path()));
  return std::nullopt;
}

std::string book_to_write(const std::string& option) {
  std::string path = option.empty() ? io::default_book_path() : option;
  (void)is_there(path);
  return path;
}

void keep_now(const std::string& path, io::BookAction action) {
  io::Book book(path);
  if (const auto trouble = book.trouble()) {
    throw base::Error(*trouble);
  }
  if (book.wait_for(book.keep(std::move(action)), kPatienceS)) {
    return;
  }
  const std::optional<std::string> trouble = book.trouble();
  if (!book.drop_waiting()) {
    throw base::Error(trouble.value_or(fmt::format(
        "{}: was not written within a minute; look after the disk.", base::printable(path))));
  }
}

void add_book(CLI::App& app, Work& work) {
  CLI::App* const command =
      app.add_subcommand("book", "What was rung out where: list, show, compare, export, import");
  command->require_subcommand(1);
  for (const AddBookCommand add : kBookCommands) {
    add(*command, work);
  }
  command->footer(kExamples);
}

}  // namespace brink::cli
