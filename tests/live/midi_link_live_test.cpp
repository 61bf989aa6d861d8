// A link to a simulated console over real MIDI ports: ALSA's sequencer, or JACK's where the machine
// has none.
#include <RtMidi.h>
#include <doctest/doctest.h>

#include <array>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "io/link/console_link.h"
#include "support/files.h"
#include "support/jack_server.h"

using namespace brink;
using State = cuts::LinkReport::State;

namespace {

const std::string kTarget =
    "kind = parametric\n"
    "bands = 2\n"
    "deepest = -15\n"
    "link = midi\n"
    "console = Lantern\n"
    "fader = channel 1 controller 7 fine 39\n"
    "fader_scale = linear whole 0:16383 is -90:10\n"
    "band_frequency = channel 2 controller <20+3> fine <52+3>\n"
    "band_frequency_scale = logarithmic whole 0:16383 is 20:20000\n"
    "band_q = channel 2 controller <21+3>\n"
    "band_q_scale = logarithmic whole 0:127 is 20:0.3\n"
    "band_depth = channel 2 controller <22+3>\n"
    "band_depth_scale = table whole 0:-15 64:0 127:15\n";

cuts::LinkedTarget linked(const std::string& answers) {
  return cuts::linked_target(
             cuts::parse_target(kTarget + "answers = " + answers + "\n", "lantern.txt"))
      .value();
}

bool has_sequencer() {
  return std::filesystem::exists("/dev/snd/seq");
}

/// JACK's server where it is needed. The link finds it by the environment of this process.
struct Stand {
  tests::TemporaryDirectory place;
  std::optional<tests::JackServer> server;

  Stand() {
    if (!has_sequencer()) {
      server.emplace(place / "");
      for (const auto& [name, value] : server->client_options("").environment) {
        setenv(name.c_str(), value.c_str(), 1);  // NOLINT(concurrency-mt-unsafe): one thread
      }
    }
    const std::string api = has_sequencer() ? "ALSA's sequencer" : "JACK";
    MESSAGE("MIDI ports of ", api);
  }
};

/// A console with virtual ports. It keeps what it is told and, where it echoes, tells it back.
class MidiConsole {
 public:
  explicit MidiConsole(bool has_echo) : has_echo_(has_echo) {
    in_.setCallback(
        [](double /*after_s*/, std::vector<unsigned char>* bytes, void* user) {
          static_cast<MidiConsole*>(user)->hear(*bytes);
        },
        this);
    out_.openVirtualPort("Lantern tells");
    in_.openVirtualPort("Lantern hears");
  }

  void say(const std::vector<unsigned char>& bytes) { out_.sendMessage(&bytes); }

  std::vector<std::array<int, 3>> told() {
    const std::scoped_lock hold(lock_);
    return told_;
  }

 private:
  void hear(const std::vector<unsigned char>& bytes) {
    const std::scoped_lock hold(lock_);
    if (bytes.size() == 3) {
      told_.push_back({bytes[0], bytes[1], bytes[2]});
    }
    if (has_echo_) {
      out_.sendMessage(&bytes);
    }
  }

  static RtMidi::Api api() { return has_sequencer() ? RtMidi::LINUX_ALSA : RtMidi::UNIX_JACK; }

  std::mutex lock_;
  std::vector<std::array<int, 3>> told_;
  bool has_echo_ = false;
  RtMidiOut out_{api(), "Lantern"};
  RtMidiIn in_{api(), "Lantern"};  // the last: its callback uses the others
};

bool wait_for(const std::function<bool()>& is_so) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(30);
  while (!is_so()) {
    if (std::chrono::steady_clock::now() > end) {
      return false;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  return true;
}

/// All that was told to one controller of channel 2, in order.
std::vector<int> values(MidiConsole& console, int controller) {
  std::vector<int> found;
  for (const auto& [status, number, value] : console.told()) {
    if (status == 0xB1 && number == controller) {
      found.push_back(value);
    }
  }
  return found;
}

const cuts::Band kCut{2000.0, 8.0, -6.0};

}  // namespace

TEST_CASE("a cut goes to a console by MIDI in small steps, and its fader is read") {
  const Stand stand;
  MidiConsole console(true);
  io::ConsoleLink link(linked("told"), {});
  REQUIRE(wait_for([&] { return link.view().is_alive; }));
  // 14 bits: 102 * 128 + 51 = 13107 of 16383 is -9.996 dB.
  REQUIRE(wait_for([&] {
    console.say({0xB0, 7, 102});
    console.say({0xB0, 39, 51});
    const auto fader_db = link.view().fader_db;
    return fader_db && *fader_db > -9.997 && *fader_db < -9.995;
  }));
  link.assume_flat();
  CHECK(link.log({}, std::span(&kCut, 1)));
  REQUIRE(wait_for([&] {
    return !link.view().reports.empty() && link.view().reports.back().state == State::kConfirmed;
  }));
  // 2000 Hz lies 2/3 of the three decades up: 10922 is 85 * 128 + 42. -6 dB lies at 64 - 25.6: 38.
  CHECK(values(console, 20) == std::vector<int>{85});
  CHECK(values(console, 52) == std::vector<int>{42});
  const auto depths = values(console, 22);
  REQUIRE(!depths.empty());
  CHECK(depths.back() == 38);
  int before = 64;
  for (const int depth : depths) {
    CHECK(depth < before);
    CHECK(before - depth <= 4);  // 15 dB are 64 steps: 4 are 0.94 dB, 5 are 1.17 dB
    before = depth;
  }
  for (const auto& [status, number, value] : console.told()) {
    CHECK(status == 0xB1);  // nothing on the fader's channel
  }
}

TEST_CASE("MIDI that a link does not know changes nothing") {
  const Stand stand;
  MidiConsole console(false);
  io::ConsoleLink link(linked("never"), {});
  REQUIRE(wait_for([&] { return link.view().is_alive; }));
  std::vector<unsigned char> exclusive(500, 0x11);
  exclusive.front() = 0xF0;
  exclusive.back() = 0xF7;
  for (int i = 0; i < 200; ++i) {
    console.say({0xB5, 7, 100});   // another channel
    console.say({0x90, 60, 100});  // a note
    console.say({0xE0, 1, 2});     // a bend
    console.say({0xC0, 5});        // a programme
    console.say(exclusive);
  }
  REQUIRE(wait_for([&] {
    console.say({0xB0, 7, 102});
    return link.view().fader_db.has_value();
  }));
  CHECK(link.view().reports.empty());
  CHECK(console.told().empty());
}

TEST_CASE("a MIDI console that is unplugged is said, and found again") {
  const Stand stand;
  std::optional<MidiConsole> console(std::in_place, false);
  io::ConsoleLink link(linked("never"), {});
  REQUIRE(wait_for([&] { return link.view().is_alive; }));
  console.reset();
  CHECK(wait_for([&] { return !link.view().is_open; }));
  CHECK(wait_for([&] {
    return link.view().trouble.find("console: no MIDI output has 'Lantern' in its name") == 0;
  }));
  console.emplace(false);
  CHECK(wait_for([&] { return link.view().is_alive; }));
  CHECK(console->told().empty());
}
