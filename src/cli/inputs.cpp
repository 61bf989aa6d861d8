#include "io/live/inputs.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <map>
#include <memory>
#include <string>

#include "cli/command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "io/process.h"
#include "report/inputs_json.h"

namespace brink::cli {
namespace {

std::string inputs_text(const std::vector<io::InputDevice>& inputs) {
  std::string text = fmt::format("{:>3}  {:>8}  {:>9}  {}\n", "", "channels", "rate", "input");
  for (const io::InputDevice& input : inputs) {
    text += fmt::format("{:>3}  {:>8}  {:>5g} kHz  {}{}{}\n",
                        input.number,
                        input.channels,
                        input.default_rate_hz / 1000.0,
                        input.label(),
                        input.is_monitor ? ", what that output plays, no microphone" : "",
                        input.is_default ? ", taken when none is named" : "");
  }
  return text;
}

int list(bool wants_json) {
  const std::vector<io::InputDevice> inputs = io::list_inputs(io::this_program());
  if (inputs.empty()) {
    say("there is no sound input; connect a device or start the sound server.");
  }
  Output output{std::string()};
  const std::string text = inputs.empty() ? std::string() : inputs_text(inputs);
  if (output.write(wants_json ? report::inputs_json(inputs) : text)) {
    output.finish();
  }
  return kDone;
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink inputs\n"
    "  brink listen --input 3 --taps 1,2\n"
    "\n"
    "A running JACK server's clients are inputs too. Numbers change when devices come\n"
    "and go; names do not.";

}  // namespace

void add_inputs(CLI::App& app, Work& work) {
  const auto format = std::make_shared<std::string>("text");
  CLI::App* const command =
      app.add_subcommand("inputs", "List the devices to listen to, and their channels");
  command->add_option("--format", *format, "How to write it: text or json (text)")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}));
  command->footer(kExamples);
  command->callback([format, &work] { work = [format] { return list(*format == "json"); }; });
}

}  // namespace brink::cli
