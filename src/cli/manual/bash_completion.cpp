#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/manual/completions.h"

namespace brink::cli {
namespace {

constexpr const char* kBegin =
    R"(# Completion of brink's commands and options for bash. Made by the build from the options themselves.
_brink() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} command=brink words= kind= i
  for ((i = 1; i < COMP_CWORD; i++)); do
    case "$command ${COMP_WORDS[i]}" in
)";

constexpr const char* kEnd = R"(  esac
  mapfile -t COMPREPLY < <(compgen -W "$words" -- "$word")
  if [[ $kind && $word != -* ]]; then
    compopt -o filenames 2>/dev/null
    mapfile -t -O "${#COMPREPLY[@]}" COMPREPLY < <(compgen "$kind" -- "$word")
  fi
}
complete -F _brink brink
)";

/// What compgen offers for the value.
std::string offer(const ManualOption& option) {
  switch (option.kind) {
    case ArgumentKind::kWords:
      return fmt::format("words={}", quoted(fmt::format("{}", fmt::join(option.words, " "))));
    case ArgumentKind::kFile:
      return "kind=-f";
    case ArgumentKind::kFolder:
      return "kind=-d";
    case ArgumentKind::kOther:
      break;
  }
  return ":";
}

std::string branch(const ManualCommand& command) {
  std::string text = fmt::format("    {})\n      case \"$before\" in\n", quoted(command.words));
  std::vector<std::string> words;
  for (const ManualCommand& below : command.commands) {
    words.push_back(below.name);
  }
  for (const ManualOption& option : command.options) {
    words.insert(words.end(), option.names.begin(), option.names.end());
    if (!option.value.empty()) {
      text += fmt::format("        {}) {} ;;\n", fmt::join(option.names, " | "), offer(option));
    }
  }
  text += fmt::format("        *) words={}", quoted(fmt::format("{}", fmt::join(words, " "))));
  for (const ManualOption& argument : command.arguments) {
    if (argument.kind == ArgumentKind::kFile || argument.kind == ArgumentKind::kFolder) {
      text += "; " + offer(argument);
    }
  }
  return text + " ;;\n      esac\n      ;;\n";
}

}  // namespace

std::string quoted(const std::string& text) {
  std::string out = "'";
  for (const char letter : text) {
    out += letter == '\'' ? std::string("'\\''") : std::string(1, letter);
  }
  return out + "'";
}

std::vector<std::string> quoted_commands(const ManualCommand& top) {
  std::vector<std::string> words;
  for (const ManualCommand* const command : all_of(top)) {
    if (command != &top) {
      words.push_back(quoted(command->words));
    }
  }
  return words;
}

std::string bash_completion(const ManualCommand& top) {
  std::string text = kBegin;
  text += fmt::format("      {}) command+=\" ${{COMP_WORDS[i]}}\" ;;\n    esac\n  done\n",
                      fmt::join(quoted_commands(top), " | "));
  text += "  case $command in\n";
  for (const ManualCommand* const command : all_of(top)) {
    text += branch(*command);
  }
  return text + kEnd;
}

}  // namespace brink::cli
