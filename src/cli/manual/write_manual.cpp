#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>

#include "cli/command.h"
#include "cli/manual/completions.h"
#include "cli/manual/man_page.h"
#include "cli/manual/manual_command.h"

// write_manual FOLDER: the manual pages and the shells' completions of this very brink, for the
// build and not for users. They are made from what the parser knows, so they cannot differ from it.

namespace brink::cli {
namespace {

void write(const std::filesystem::path& path, const std::string& text) {
  std::filesystem::create_directories(path.parent_path());
  std::ofstream file(path, std::ios::binary);
  file << text;
  file.close();
  if (!file) {
    throw std::runtime_error(fmt::format("{}: cannot be written", path.string()));
  }
}

void write_manual(const std::filesystem::path& folder) {
  CLI::App app;
  Work work;
  add_commands(app, work);
  const ManualCommand top = read_command(app);
  write(folder / "man1" / (page_name(top) + ".1"), man_page(top, top, BRINK_VERSION));
  for (const ManualCommand& command : top.commands) {
    write(folder / "man1" / (page_name(command) + ".1"), man_page(command, top, BRINK_VERSION));
  }
  write(folder / "completions" / "brink", bash_completion(top));
  write(folder / "completions" / "_brink", zsh_completion(top));
  write(folder / "completions" / "brink.fish", fish_completion(top));
}

}  // namespace
}  // namespace brink::cli

int main(int argc, char** argv) {
  try {
    if (argc != 2) {
      throw std::runtime_error("write_manual FOLDER");
    }
    brink::cli::write_manual(argv[1]);
    return 0;
  } catch (const std::exception& error) {
    (void)std::fprintf(stderr, "%s\n", error.what());
    return 2;
  }
}
