#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>

#include "cli/stage/option_numbers.h"
#include "cli/stage/stage_options.h"

namespace brink::cli {
namespace {

// A number of a channel or output, counted from 1 by the user and from 0 here.
std::size_t place_of(double number, const char* option, const std::string& text) {
  if (!(number >= 1.0 && number <= 64.0 && number == std::floor(number))) {
    throw base::Error{fmt::format("{} {}: microphones and outputs are counted 1, 2, 3 and so on.",
                                  option,
                                  base::printable(text))};
  }
  return static_cast<std::size_t>(number) - 1;
}

}  // namespace

void add_matrix_options(CLI::App& command, StageWords& words) {
  const std::string group = "Several microphones and outputs";
  command
      .add_option("--microphones",
                  words.microphones,
                  "1 to 32 people with a microphone each, set by the seed")
      ->type_name("N")
      ->capture_default_str()
      ->group(group);
  command.add_option("--outputs", words.outputs, "1 to 8: wedges in front of some, then mains")
      ->type_name("N")
      ->capture_default_str()
      ->group(group);
  const auto add_list = [&](const char* option, auto& list, const char* form, const char* about) {
    command.add_option(option, list, about)
        ->type_name(form)
        ->group(group)
        ->expected(1)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  };
  add_list("--fader", words.faders, "MIC,DB", "A microphone's gain; may be given again, as below");
  add_list("--send",
           words.sends,
           "MIC,OUTPUT,DB",
           "How loud a microphone is sent to an output; -90: not at all");
  add_list("--invert", words.inverted, "MIC", "The polarity of a microphone");
  add_list("--channel-cut", words.channel_cuts, "MIC,HZ,Q,DB", "A cut in one channel alone");
}

bool is_matrix(const StageWords& words) noexcept {
  return words.microphones != 1 || words.outputs != 1;
}

loop::MatrixSceneOptions to_matrix_scene(const StageWords& words) {
  loop::MatrixSceneOptions scene;
  scene.stage = to_scene(words);
  scene.microphones = words.microphones;
  scene.outputs = words.outputs;
  scene.tap = chosen<loop::MatrixTap>(words.tap.empty() ? "channel" : words.tap,
                                      {{"channel", loop::MatrixTap::kChannel},
                                       {"microphone", loop::MatrixTap::kMicrophone},
                                       {"output", loop::MatrixTap::kOutput},
                                       {"all", loop::MatrixTap::kAll}},
                                      "--tap with several microphones");
  for (const std::string& text : words.faders) {
    const auto fader = numbers(text, ',', 2, "--fader", "microphone and gain in dB as MIC,DB");
    scene.faders_db.push_back({place_of(fader[0], "--fader", text), fader[1]});
  }
  for (const std::string& text : words.sends) {
    const auto send =
        numbers(text, ',', 3, "--send", "microphone, output and gain in dB as MIC,OUTPUT,DB");
    scene.sends_db.push_back(
        {place_of(send[0], "--send", text), place_of(send[1], "--send", text), send[2]});
  }
  for (const int number : words.inverted) {
    scene.inverted.push_back(place_of(number, "--invert", std::to_string(number)));
  }
  for (const std::string& text : words.channel_cuts) {
    const auto cut = numbers(text,
                             ',',
                             4,
                             "--channel-cut",
                             "microphone, frequency in Hz, Q and depth in dB as MIC,HZ,Q,DB");
    scene.cuts.push_back(
        {place_of(cut[0], "--channel-cut", text),
         section_of(std::span(cut).subspan(1), "--channel-cut", text, scene.stage.sample_rate_hz)});
  }
  return scene;
}

}  // namespace brink::cli
