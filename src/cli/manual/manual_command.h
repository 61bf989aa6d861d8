#pragma once

#include <string>
#include <vector>

namespace CLI {  // NOLINT(readability-identifier-naming): theirs
class App;
}

namespace brink::cli {

/// What an argument names, so that a shell knows what to offer.
enum class ArgumentKind { kOther, kWords, kFile, kFolder };

/// An option, a flag, or an argument without a name of its own (`names` is empty then).
struct ManualOption {
  std::vector<std::string> names;  ///< "-h", "--help"
  std::string value;               ///< "FORMAT"; empty for a flag
  std::string usual;               ///< what holds when it is left out, where the parser knows it
  std::string text;
  std::string group;  ///< the heading in the help
  ArgumentKind kind = ArgumentKind::kOther;
  std::vector<std::string> words;  ///< of ArgumentKind::kWords
  bool is_required = false;
  bool repeats = false;
};

/// A command as its help shows it, without the hidden ones.
struct ManualCommand {
  std::string words;  ///< "brink book list"
  std::string name;   ///< "list"
  std::string about;
  std::string footer;
  std::vector<ManualOption> options;
  std::vector<ManualOption> arguments;
  std::vector<ManualCommand> commands;
};

/// Reads what the parser was told. `before` is the words of the command above; empty for brink.
[[nodiscard]] ManualCommand read_command(CLI::App& app, const std::string& before = "");

/// `command` and all below it, each once, those above first.
[[nodiscard]] std::vector<const ManualCommand*> all_of(const ManualCommand& command);

}  // namespace brink::cli
