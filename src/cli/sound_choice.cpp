#include "cli/sound_choice.h"

#include <CLI/CLI.hpp>

#include "cli/option_checks.h"

namespace brink::cli {

void add_sound_option(CLI::App& command, std::string& word) {
  command
      .add_option(
          "--sound",
          word,
          "What cuts may do to music: inaudible, balanced (an audible cut must win more) or "
          "most-gain")
      ->type_name("WORD")
      ->check(one_of({"inaudible", "balanced", "most-gain"}))
      ->capture_default_str();
}

cuts::Sound to_sound(const std::string& word) {
  return word == cuts::to_word(cuts::Sound::kInaudible)  ? cuts::Sound::kInaudible
         : word == cuts::to_word(cuts::Sound::kMostGain) ? cuts::Sound::kMostGain
                                                         : cuts::Sound::kBalanced;
}

}  // namespace brink::cli
