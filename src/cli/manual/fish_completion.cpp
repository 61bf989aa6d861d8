#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/manual/completions.h"

namespace brink::cli {
namespace {

constexpr const char* kBegin =
    R"(# Completion of brink's commands and options for fish. Made by the build from the options themselves.
function __brink_at
    set -l command brink
    for word in (commandline -opc)[2..-1]
        if contains -- "$command $word" {}
            set command "$command $word"
        end
    end
    test "$command" = "$argv"
end
complete -c brink -f
)";

/// Text in single quotes, where fish knows two escapes.
std::string fish_quoted(const std::string& text) {
  std::string out = "'";
  for (const char letter : text) {
    if (letter == '\'' || letter == '\\') {
      out += '\\';
    }
    out += letter;
  }
  return out + "'";
}

std::string offer(const ManualOption& option) {
  switch (option.kind) {
    case ArgumentKind::kWords:
      return " -x -a " + fish_quoted(fmt::format("{}", fmt::join(option.words, " ")));
    case ArgumentKind::kFile:
      return " -rF";
    case ArgumentKind::kFolder:
      return " -x -a '(__fish_complete_directories)'";
    case ArgumentKind::kOther:
      break;
  }
  return option.value.empty() ? "" : " -x";
}

std::string lines(const ManualCommand& command) {
  const std::string begin =
      fmt::format("complete -c brink -n {}", fish_quoted("__brink_at " + command.words));
  std::string text;
  for (const ManualCommand& below : command.commands) {
    text += fmt::format("{} -a {} -d {}\n", begin, below.name, fish_quoted(below.about));
  }
  for (const ManualOption& option : command.options) {
    text += begin;
    for (const std::string& name : option.names) {
      text += name.rfind("--", 0) == 0 ? " -l " + name.substr(2) : " -s " + name.substr(1);
    }
    text += offer(option) + " -d " + fish_quoted(option.text) + "\n";
  }
  for (const ManualOption& argument : command.arguments) {
    if (argument.kind == ArgumentKind::kFile) {
      text += begin + " -F\n";
    }
  }
  return text;
}

}  // namespace

std::string fish_completion(const ManualCommand& top) {
  std::string text = fmt::format(fmt::runtime(kBegin), fmt::join(quoted_commands(top), " "));
  for (const ManualCommand* const command : all_of(top)) {
    text += lines(*command);
  }
  return text;
}

}  // namespace brink::cli
