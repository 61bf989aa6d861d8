#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/listen/listen_page.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "panel/run.h"

namespace brink::cli {
namespace {

constexpr const char* kExamples =
    "Examples:\n"
    "  brink\n"
    "  brink panel --input \"front mic\"\n"
    "  brink panel --page --page-keys\n"
    "\n"
    "Starts on a simulated stage, which makes no sound, until an input is chosen (key I).\n"
    "Keys are shown at the foot of the window.";

/// A signal closes the window as its own button does, so the status is the same.
int run_panel(panel::RunOptions options) {
  options.names = read_names(options.names).text();
  catch_interrupts();
  options.is_asked_to_end = [] { return interrupt_signal() != 0; };
  panel::run(options);
  return kDone;
}

}  // namespace

void add_panel(CLI::App& app, Work& work) {
  const auto options = std::make_shared<panel::RunOptions>();
  CLI::App* const command = app.add_subcommand("panel", "Open the window; the same as brink alone");
  command->add_option("--input", options->input, "Device to listen to, as 'brink inputs' lists it")
      ->type_name("NAME|NUMBER");
  command
      ->add_option(
          "--target",
          options->target,
          "The equaliser that cuts are fitted to, as for 'brink plan'; the one chosen last "
          "when left out")
      ->type_name("NAME|FILE");
  command->add_option("--book", options->book, "The book to log in; the user's own when left out")
      ->type_name("FILE")
      ->check(not_empty());
  command
      ->add_option(
          "--scale", options->scale, "Size of letters, 1 to 3; the monitor's when left out")
      ->type_name("FACTOR")
      ->check(number_in(1.0, 3.0));
  command->add_option("--pictures", options->pictures, "Folder that F12 puts pictures into")
      ->type_name("FOLDER")
      ->check(CLI::ExistingDirectory.description(""));
  command->add_option("--state", options->state_file, "Keep what is shown in this file, as JSON")
      ->type_name("FILE")
      ->check(not_empty());
  add_names(*command, options->names);
  const auto page = std::make_shared<PageOptions>();
  add_page(*command, *page);
  command->add_flag("--page-keys",
                    page->wish.has_keys,
                    "Readers of the page may log a cut, say that it came back, and undo");
  add_replace_flag(*command, options->replaces);
  command->footer(kExamples);
  command->callback([options, page, &work] {
    options->page = page->wish;
    options->opens_page = page->is_wanted;
    work = [options] { return run_panel(*options); };
  });
}

Work open_panel() {
  return [] { return run_panel({}); };
}

}  // namespace brink::cli
