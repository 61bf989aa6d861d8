#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

namespace brink::cli {

/// The sentence for a command line whose first words are no command: "there is no command 'swep'".
/// Asked before parsing, as with --help behind it the parser would pass over the word.
[[nodiscard]] std::optional<std::string> refuse_command(const CLI::App& app, int argc, char** argv);

/// The sentence for what the parser refused, with where to look.
[[nodiscard]] std::string refusal(const CLI::App& app, const CLI::ParseError& error);

}  // namespace brink::cli
