#include "cli/refusal.h"

#include <fmt/format.h>

#include "base/printable.h"

namespace brink::cli {
namespace {

/// The parser only counts arguments. This says what the user did: an option twice, or no value.
std::string plain(const CLI::ParseError& error) {
  std::string sentence = base::printable(error.what());
  const std::string name = sentence.substr(0, sentence.find(':'));
  if (sentence.find(": At Most ") != std::string::npos) {
    return name + ": is given more often than it can be taken";
  }
  if (error.get_name() == "ArgumentMismatch" && sentence.find(" missing") != std::string::npos) {
    return name + ": there is nothing behind it";
  }
  return sentence;
}

/// "brink book list": the commands that were recognised.
std::string chosen_command(const CLI::App& app) {
  const auto chosen = app.get_subcommands();
  return app.get_name() + (chosen.empty() ? "" : " " + chosen_command(*chosen.front()));
}

}  // namespace

std::optional<std::string> refuse_command(const CLI::App& app, int argc, char** argv) {
  const CLI::App* group = &app;
  std::string name = app.get_name();
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const bool has_commands = !group->get_subcommands(nullptr).empty();
    if (!has_commands || word.rfind('-', 0) == 0) {
      break;
    }
    const auto found = group->get_subcommands(
        [&word](const CLI::App* command) { return command->get_name() == word; });
    if (found.empty()) {
      return fmt::format(
          "there is no command '{}'; '{} --help' lists them.", base::printable(word), name);
    }
    group = found.front();
    name += " " + word;
  }
  return std::nullopt;
}

std::string refusal(const CLI::App& app, const CLI::ParseError& error) {
  return fmt::format("{}; see '{} --help'.", plain(error), chosen_command(app));
}

}  // namespace brink::cli
