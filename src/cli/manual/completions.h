#pragma once

#include <string>

#include "cli/manual/manual_command.h"

namespace brink::cli {

/// Files that let a shell complete brink's commands, options, words and file names. `top` is brink.
[[nodiscard]] std::string bash_completion(const ManualCommand& top);
[[nodiscard]] std::string zsh_completion(const ManualCommand& top);
[[nodiscard]] std::string fish_completion(const ManualCommand& top);

/// `text` as one word of a shell, in single quotes.
[[nodiscard]] std::string quoted(const std::string& text);

/// Every command below brink as one word: "'brink analyse'", for the shells that must find out
/// which one a line is about.
[[nodiscard]] std::vector<std::string> quoted_commands(const ManualCommand& top);

}  // namespace brink::cli
