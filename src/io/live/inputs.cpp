#include "io/live/inputs.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <sstream>

#include "base/error.h"
#include "base/printable.h"
#include "io/live/capture_child.h"
#include "io/live/child_process.h"

namespace brink::io {
namespace {

constexpr int kPatienceMs = 5000;  // starting every sound system takes about 0.3 s without a card

std::string to_lower(std::string_view text) {
  std::string lower(text);
  std::transform(lower.begin(), lower.end(), lower.begin(), [](unsigned char c) {
    return static_cast<char>(std::tolower(c));
  });
  return lower;
}

std::string labels_of(const std::vector<const InputDevice*>& inputs) {
  std::string text;
  for (const InputDevice* input : inputs) {
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", input->number, input->label());
  }
  return text;
}

std::vector<const InputDevice*> fitting(std::span<const InputDevice> inputs,
                                        const auto& is_fitting) {
  std::vector<const InputDevice*> found;
  for (const InputDevice& input : inputs) {
    if (is_fitting(input)) {
      found.push_back(&input);
    }
  }
  return found;
}

/// Tries the strictest meaning of `wanted` first and the loosest last. The first one that fits
/// anything counts.
std::vector<const InputDevice*> fitting(std::span<const InputDevice> inputs,
                                        std::string_view wanted) {
  int number = 0;
  const auto [end, error] = std::from_chars(wanted.data(), wanted.data() + wanted.size(), number);
  const bool is_number = error == std::errc() && end == wanted.data() + wanted.size();
  const std::string lower = to_lower(wanted);
  auto found = fitting(inputs, [&](const auto& i) { return i.id == wanted && !i.id.empty(); });
  if (found.empty()) {
    found = fitting(inputs, [&](const auto& i) { return to_lower(i.label()) == lower; });
  }
  if (found.empty()) {
    found = fitting(inputs, [&](const auto& i) { return to_lower(i.name) == lower; });
  }
  if (found.empty() && is_number) {
    return fitting(inputs, [&](const auto& i) { return i.number == number; });
  }
  if (found.empty()) {
    found = fitting(
        inputs, [&](const auto& i) { return to_lower(i.name).find(lower) != std::string::npos; });
  }
  return found;
}

}  // namespace

std::string InputDevice::label() const {
  return fmt::format("{} ({})", name, api);
}

int InputDevice::usual_channels() const {
  constexpr int kMost = 64;
  constexpr int kOfPlugIn = 2;
  // PortAudio names a card's own device "USB desk: Audio (hw:1,0)".
  const bool is_plug_in = api == "ALSA" && name.find("(hw:") == std::string::npos;
  return std::clamp(channels, 1, is_plug_in ? kOfPlugIn : kMost);
}

const InputDevice& find_input(std::span<const InputDevice> inputs,
                              std::string_view wanted,
                              const char* kind) {
  const auto all = fitting(inputs, [](const auto&) { return true; });
  if (all.empty()) {
    throw base::Error(fmt::format(
        "There is no sound {} on this machine; connect a device or start the sound server.", kind));
  }
  const auto found = wanted.empty()
                         ? fitting(inputs, [](const auto& input) { return input.is_default; })
                         : fitting(inputs, wanted);
  if (found.size() == 1) {
    return *found.front();
  }
  const std::string name = base::printable(wanted);
  if (found.empty()) {
    throw base::Error(
        fmt::format("There is no {} '{}'; there are: {}.", kind, name, labels_of(all)));
  }
  throw base::Error(fmt::format(
      "'{}' fits more than one {}: {}; take the number.", name, kind, labels_of(found)));
}

std::string to_lines(std::span<const InputDevice> inputs) {
  std::string lines;
  for (const InputDevice& input : inputs) {
    lines += fmt::format("{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\n",
                         input.number,
                         input.channels,
                         input.default_rate_hz,
                         input.is_default ? 1 : 0,
                         input.is_monitor ? 1 : 0,
                         base::printable(input.api),
                         base::printable(input.id),
                         base::printable(input.name));
  }
  return lines;
}

std::vector<InputDevice> from_lines(std::string_view lines) {
  std::vector<InputDevice> inputs;
  std::istringstream stream{std::string(lines)};
  std::string line;
  while (std::getline(stream, line)) {
    std::istringstream fields(line);
    InputDevice input;
    fields >> input.number >> input.channels >> input.default_rate_hz >> input.is_default >>
        input.is_monitor;
    fields.ignore();
    std::getline(fields, input.api, '\t');
    std::getline(fields, input.id, '\t');
    std::getline(fields, input.name);
    if (fields || fields.eof()) {
      inputs.push_back(std::move(input));
    }
  }
  return inputs;
}

std::vector<InputDevice> list_inputs(const std::string& program) {
  ChildProcess child(program, {kCaptureChildCommand, kListArgument}, -1, true);
  std::string output;
  if (!child.read_output(output, kPatienceMs)) {
    throw base::Error(
        "The sound system did not answer within 5 s; a sound server may hang: restart it.");
  }
  constexpr std::string_view kOk = "ok\n";
  if (output.rfind(kOk, 0) != 0) {
    throw base::Error(output.empty() ? "The sound system could not be asked for its inputs."
                                     : output.substr(0, output.find('\n')));
  }
  return from_lines(std::string_view(output).substr(kOk.size()));
}

}  // namespace brink::io
