#include "io/link/midi_wire.h"

#include <RtMidi.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <string>
#include <system_error>
#include <thread>
#include <vector>

#include "base/error.h"
#include "base/printable.h"

namespace brink::io {
namespace {

using Clock = std::chrono::steady_clock;

constexpr unsigned kController = 0xB0;  // the status byte of a controller on channel 1
constexpr int kFineSteps = 128;

/// The first that the library has and that can be used: ALSA's sequencer where the system has one,
/// else JACK; Windows has one alone.
RtMidi::Api system_api() {
  std::error_code fault;
  const bool has_sequencer = std::filesystem::exists("/dev/snd/seq", fault);
  std::vector<RtMidi::Api> all;
  RtMidi::getCompiledApi(all);
  std::stable_partition(
      all.begin(), all.end(), [](RtMidi::Api api) { return api == RtMidi::LINUX_ALSA; });
  const auto found = std::find_if(all.begin(), all.end(), [&](RtMidi::Api api) {
    return has_sequencer || api != RtMidi::LINUX_ALSA;
  });
  return found == all.end() ? RtMidi::UNSPECIFIED : *found;
}

/// What it has to say it also says by its results.
void pass_over(RtMidiError::Type /*type*/, const std::string& /*text*/, void* /*user*/) {}

std::optional<unsigned> find_port(RtMidi& midi, const std::string& name) {
  const unsigned count = midi.getPortCount();
  for (unsigned port = 0; port < count; ++port) {
    if (midi.getPortName(port).find(name) != std::string::npos) {
      return port;
    }
  }
  return std::nullopt;
}

std::string port_names(RtMidi& midi) {
  std::string names;
  const unsigned count = midi.getPortCount();
  for (unsigned port = 0; port < count; ++port) {
    names += (names.empty() ? "" : ", ") + base::printable(midi.getPortName(port));
  }
  return names.empty() ? "none" : names;
}

}  // namespace

/// A way out, and one in where the console has it.
struct MidiWire::Ports {
  static constexpr unsigned kQueue = 4096;

  RtMidiOut out{system_api(), "brink"};
  RtMidiIn in{system_api(), "brink", kQueue};
  bool has_in = false;
  Clock::time_point looked;
};

MidiWire::MidiWire(const cuts::Link& link) : ConsoleWire(link) {
  for (const cuts::LinkPart& part : cuts::parts(link)) {
    const cuts::LinkControl& control = cuts::control(link, part);
    places_.emplace(std::pair(control.channel, control.controller), Place{part, false});
    if (control.fine) {
      places_.emplace(std::pair(control.channel, *control.fine), Place{part, true});
    }
  }
}

MidiWire::~MidiWire() = default;

void MidiWire::open() {
  if (ports_) {
    return;
  }
  const std::string name = link().console;
  try {
    auto ports = std::make_unique<Ports>();
    ports->out.setErrorCallback(pass_over);
    ports->in.setErrorCallback(pass_over);
    const auto out = find_port(ports->out, name);
    if (!out) {
      throw base::Error(fmt::format("console: no MIDI output has '{}' in its name; there is: {}.",
                                    base::printable(name),
                                    port_names(ports->out)));
    }
    ports->out.openPort(*out, "to console");
    if (const auto in = find_port(ports->in, name)) {
      ports->in.openPort(*in, "from console");
      ports->has_in = true;
    }
    if (!ports->out.isPortOpen()) {
      throw base::Error(
          fmt::format("console: the MIDI port '{}' does not open.", base::printable(name)));
    }
    ports->looked = Clock::now();
    ports_ = std::move(ports);
  } catch (const RtMidiError& error) {
    throw base::Error(
        fmt::format("console: MIDI cannot be used ({}).", base::printable(error.getMessage())));
  }
}

bool MidiWire::is_open() {
  constexpr std::chrono::milliseconds kLookPause(500);
  if (ports_ && Clock::now() - ports_->looked >= kLookPause) {
    ports_->looked = Clock::now();
    try {
      if (!find_port(ports_->out, link().console)) {
        ports_.reset();
      }
    } catch (const RtMidiError&) {
      ports_.reset();
    }
  }
  return ports_ != nullptr;
}

void MidiWire::ask(const cuts::LinkControl& /*control*/) {}

void MidiWire::keep_alive() {}

void MidiWire::send_controller(int channel, int controller, int value) {
  const std::array<unsigned char, 3> bytes{
      static_cast<unsigned char>(kController + static_cast<unsigned>(channel) - 1U),
      static_cast<unsigned char>(controller),
      static_cast<unsigned char>(value)};
  try {
    ports_->out.sendMessage(bytes.data(), bytes.size());
  } catch (const RtMidiError&) {
    return;  // lost, as on any wire; is_open() looks whether the port is still there
  }
}

void MidiWire::set(const cuts::LinkControl& control, double number) {
  const int whole = static_cast<int>(std::lround(number));
  if (!ports_) {
    return;
  }
  if (!control.fine) {
    send_controller(control.channel, control.controller, whole);
    return;
  }
  send_controller(control.channel, control.controller, whole / kFineSteps);
  send_controller(control.channel, *control.fine, whole % kFineSteps);
}

void MidiWire::take_message(const std::vector<unsigned char>& bytes, const Take& take) {
  if (bytes.size() != 3 || (bytes[0] & 0xF0U) != kController || bytes[1] > 127 || bytes[2] > 127) {
    return;
  }
  const int channel = static_cast<int>(bytes[0] & 0x0FU) + 1;
  const int controller = bytes[1];
  const int value = bytes[2];
  ConsoleWord word;
  word.place = fmt::format("channel {} controller {}", channel, controller);
  word.words = fmt::format("{}", value);
  word.number = value;
  if (const auto place = places_.find({channel, controller}); place != places_.end()) {
    const cuts::LinkControl& control = cuts::control(link(), place->second.part);
    word.part = place->second.part;
    if (control.fine) {
      auto& [coarse, fine] = heard_[{control.channel, control.controller}];
      (place->second.is_fine ? fine : coarse) = value;
      word.number = coarse * kFineSteps + fine;
    }
  }
  take(word);
}

void MidiWire::receive(double wait_s, const Take& take) {
  const auto end = Clock::now() + std::chrono::duration<double>(wait_s);
  constexpr int kMostAtOnce = 256;  // whoever floods the port must not keep it from anything else
  std::vector<unsigned char> bytes;
  do {
    for (int i = 0; ports_ && ports_->has_in && i < kMostAtOnce; ++i) {
      ports_->in.getMessage(&bytes);
      if (bytes.empty()) {
        break;
      }
      take_message(bytes, take);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  } while (Clock::now() < end);
}

std::unique_ptr<ConsoleWire> make_midi_wire(const cuts::Link& link) {
  return std::make_unique<MidiWire>(link);
}

}  // namespace brink::io
