#include "cli/manual/manual_command.h"

#include <CLI/CLI.hpp>

#include "cli/option_checks.h"

namespace brink::cli {
namespace {

bool has_word(const std::string& text, const char* word) {
  return text.find(word) != std::string::npos;
}

ArgumentKind kind_of(const ManualOption& option) {
  if (!option.words.empty()) {
    return ArgumentKind::kWords;
  }
  if (has_word(option.value, "FILE")) {
    return ArgumentKind::kFile;
  }
  return has_word(option.value, "FOLDER") || has_word(option.value, "DIR") ? ArgumentKind::kFolder
                                                                           : ArgumentKind::kOther;
}

ManualOption read_option(CLI::Option& option) {
  ManualOption read;
  for (const std::string& name : option.get_snames()) {
    read.names.push_back("-" + name);
  }
  for (const std::string& name : option.get_lnames()) {
    read.names.push_back("--" + name);
  }
  // What has no name and no type of its own is a file in all of brink's commands, called by its
  // place.
  const bool is_plain_file = read.names.empty() && option.get_type_name() == "TEXT";
  if (option.get_type_size() != 0) {
    read.value = is_plain_file ? option.get_name(true) : option.get_type_name();
  }
  read.usual = option.get_default_str();
  read.text = option.get_description();
  read.group = option.get_group();
  read.words = words_of(option);
  read.kind = is_plain_file ? ArgumentKind::kFile : kind_of(read);
  read.is_required = option.get_required();
  read.repeats = option.get_expected_max() > 1;
  return read;
}

}  // namespace

ManualCommand read_command(CLI::App& app, const std::string& before) {
  ManualCommand read;
  read.name = app.get_name();
  read.words = before.empty() ? read.name : before + " " + read.name;
  read.about = app.get_description();
  read.footer = app.get_footer();
  for (CLI::Option* const option : app.get_options([](CLI::Option*) { return true; })) {
    auto& list = option->get_positional() ? read.arguments : read.options;
    list.push_back(read_option(*option));
  }
  for (CLI::App* const command : app.get_subcommands([](CLI::App*) { return true; })) {
    if (!command->get_group().empty()) {
      read.commands.push_back(read_command(*command, read.words));
    }
  }
  return read;
}

std::vector<const ManualCommand*> all_of(const ManualCommand& command) {
  std::vector<const ManualCommand*> all{&command};
  for (const ManualCommand& below : command.commands) {
    for (const ManualCommand* const one : all_of(below)) {
      all.push_back(one);
    }
  }
  return all;
}

}  // namespace brink::cli
