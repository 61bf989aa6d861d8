#pragma once

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "io/link/console_wire.h"

namespace brink::io {

/// MIDI 1.0 controllers, through ALSA's sequencer, or through JACK where the machine has none. Of
/// two controllers for one number, the coarse one is sent first. Other messages are passed over.
class MidiWire final : public ConsoleWire {
 public:
  explicit MidiWire(const cuts::Link& link);
  ~MidiWire() override;
  MidiWire(const MidiWire&) = delete;
  MidiWire& operator=(const MidiWire&) = delete;
  MidiWire(MidiWire&&) = delete;
  MidiWire& operator=(MidiWire&&) = delete;

  void open() override;
  /// Looks twice a second whether the console's port is still there.
  [[nodiscard]] bool is_open() override;
  void receive(double wait_s, const Take& take) override;

 private:
  /// Where a controller belongs.
  struct Place {
    cuts::LinkPart part;
    bool is_fine = false;
  };

  struct Ports;

  void ask(const cuts::LinkControl& control) override;
  void set(const cuts::LinkControl& control, double number) override;
  void keep_alive() override;
  void send_controller(int channel, int controller, int value);
  void take_message(const std::vector<unsigned char>& bytes, const Take& take);

  std::map<std::pair<int, int>, Place> places_;              // by channel and controller
  std::map<std::pair<int, int>, std::array<int, 2>> heard_;  // coarse and fine, by the coarse one
  std::unique_ptr<Ports> ports_;
};

}  // namespace brink::io
