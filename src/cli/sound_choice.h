#pragma once

#include <string>

#include "cuts/audibility.h"

namespace CLI {  // NOLINT(readability-identifier-naming): theirs
class App;
}

namespace brink::cli {

/// Adds --sound to a command that makes plans; `word` is to be read by to_sound().
void add_sound_option(CLI::App& command, std::string& word);

/// Reads a word that add_sound_option() accepted.
[[nodiscard]] cuts::Sound to_sound(const std::string& word);

inline constexpr const char* kDefaultSound = "balanced";

}  // namespace brink::cli
