#include <CLI/CLI.hpp>
#include <memory>
#include <string>

#include "base/error.h"
#include "cli/book/book_command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "io/book/book_reader.h"
#include "report/book/book_choice.h"
#include "sheet/sheet.h"

namespace brink::cli {
namespace {

struct SheetOptions {
  std::string book;
  std::string show = "last";
  std::string trainee;
  std::string output;
  bool replaces = false;
};

int write_sheet(const SheetOptions& options) {
  const std::string path = book_to_read(options.book);
  Output file{options.output, {{sheet::sheet_beginning()}, options.replaces, {path}}};
  io::BookReader reader(path);
  std::string page;
  if (options.trainee.empty()) {
    page = sheet::sheet_html(report::choose_show(reader, options.show));
  } else {
    const auto guesses = reader.guesses(options.trainee);
    if (guesses.empty()) {
      throw base::Error("the book has no guess of '" + options.trainee +
                        "'; 'brink book scores' lists who guessed.");
    }
    page = sheet::ear_sheet_html(guesses, options.trainee);
  }
  (void)file.write(page);
  file.finish();
  return kDone;
}

}  // namespace

void add_book_sheet(CLI::App& book, Work& work) {
  const auto options = std::make_shared<SheetOptions>();
  CLI::App* const command =
      book.add_subcommand("sheet", "The sheet of a show, one HTML page to print or to read");
  command->add_option("show", options->show, "'last', or the first digits of its key")
      ->type_name("KEY")
      ->capture_default_str();
  command->add_option("--trainee", options->trainee, "A trainee's ear instead of a show")
      ->type_name("NAME");
  command->add_option("--output", options->output, "Write it here instead of to stdout")
      ->type_name("FILE")
      ->check(not_empty());
  add_replace_flag(*command, options->replaces);
  add_book_option(*command, options->book);
  command->footer("Example:\n  brink book sheet last --output sheet.html\n");
  command->callback([options, &work] { work = [options] { return write_sheet(*options); }; });
}

}  // namespace brink::cli
