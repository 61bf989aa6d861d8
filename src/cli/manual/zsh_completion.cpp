#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "cli/manual/completions.h"

namespace brink::cli {
namespace {

/// Text inside a specification of _arguments, where these signs have a meaning.
std::string escaped(const std::string& text) {
  std::string out;
  for (const char letter : text) {
    if (std::string("\\:[]").find(letter) != std::string::npos) {
      out += '\\';
    }
    out += letter;
  }
  return out;
}

std::string action(const ManualOption& option) {
  switch (option.kind) {
    case ArgumentKind::kWords:
      return fmt::format("({})", fmt::join(option.words, " "));
    case ArgumentKind::kFile:
      return "_files";
    case ArgumentKind::kFolder:
      return "_files -/";
    case ArgumentKind::kOther:
      break;
  }
  return " ";
}

std::string value(const ManualOption& option) {
  return option.value.empty() ? "" : fmt::format(":{}:{}", escaped(option.value), action(option));
}

std::string function_name(const ManualCommand& command) {
  std::string name = "_" + command.words;
  std::replace(name.begin(), name.end(), ' ', '_');
  return name;
}

std::string arguments(const ManualCommand& command) {
  std::string text = "  _arguments -C";
  for (const ManualOption& option : command.options) {
    for (const std::string& name : option.names) {
      text +=
          " \\\n    " + quoted(fmt::format("{}[{}]{}", name, escaped(option.text), value(option)));
    }
  }
  if (!command.commands.empty()) {
    return text + " \\\n    '1:command:->command' '*::argument:->argument'\n";
  }
  for (const ManualOption& argument : command.arguments) {
    text += " \\\n    " + quoted((argument.repeats ? "*" : "") + value(argument));
  }
  return text + "\n";
}

std::string function(const ManualCommand& command) {
  std::string text = fmt::format("{}() {{\n", function_name(command));
  if (command.commands.empty()) {
    return text + arguments(command) + "}\n";
  }
  text += "  local context state state_descr line\n  typeset -A opt_args\n" + arguments(command);
  text += "  case $state in\n    command)\n      local -a commands=(\n";
  std::string choices;
  for (const ManualCommand& below : command.commands) {
    text += "        " + quoted(below.name + ":" + escaped(below.about)) + "\n";
    choices += fmt::format("        {}) {} ;;\n", below.name, function_name(below));
  }
  return text + "      )\n      _describe command commands\n      ;;\n" +
         "    argument)\n      case $line[1] in\n" + choices + "      esac\n      ;;\n  esac\n}\n";
}

}  // namespace

std::string zsh_completion(const ManualCommand& top) {
  std::string text =
      "#compdef brink\n"
      "# Completion of brink's commands and options for zsh. Made by the build from the options "
      "themselves.\n";
  for (const ManualCommand* const command : all_of(top)) {
    text += function(*command);
  }
  return text + "_brink \"$@\"\n";
}

}  // namespace brink::cli
