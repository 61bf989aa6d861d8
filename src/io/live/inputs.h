#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace brink::io {

/// InputDevice::api of what PipeWire and JACK themselves offer.
inline constexpr const char* kPipewireName = "PipeWire";
inline constexpr const char* kJackName = "JACK";

/// A device that sound can come from.
struct InputDevice {
  int number = 0;    ///< number for `--input`; may change when devices come and go
  std::string name;  ///< name in the sound system; on PipeWire the one that the desktop shows
  std::string api;   ///< the sound system, for instance "ALSA" or "JACK"
  int channels = 0;  ///< highest number of channels
  double default_rate_hz = 0.0;
  bool is_default = false;  ///< used when no input is named
  bool is_monitor = false;  ///< what an output plays, and no microphone; never the default
  /// On PipeWire the source's name in the server, which stays when others come and go; otherwise
  /// empty.
  std::string id{};

  /// A name that no other input has: "system (JACK)".
  [[nodiscard]] std::string label() const;
  /// How many channels to take when nobody says: all of them, up to 64. An ALSA name that is not a
  /// card's own ("default", "pulse") claims up to 128, whatever is behind it; there it is two.
  [[nodiscard]] int usual_channels() const;
};

/// Finds the input that `wanted` names. Empty means the default input. Otherwise it is an id, a
/// number, a label, a name, or a part of a name that only one input has. Capital letters do not
/// matter. Throws base::Error with a sentence that lists the inputs. `kind` is what that sentence
/// calls such a device.
[[nodiscard]] const InputDevice& find_input(std::span<const InputDevice> inputs,
                                            std::string_view wanted,
                                            const char* kind = "input");

/// All inputs; empty when there are none. A child process asks for them: `program`, with the
/// argument of capture_child.h. So a dead or frozen sound server can neither hang this process nor
/// write to its terminal. Throws base::Error when the sound system does not answer within 5 s or
/// the child cannot be started.
[[nodiscard]] std::vector<InputDevice> list_inputs(const std::string& program);

/// One line for each input, and back. The child writes these lines and the parent reads them.
[[nodiscard]] std::string to_lines(std::span<const InputDevice> inputs);
[[nodiscard]] std::vector<InputDevice> from_lines(std::string_view lines);

}  // namespace brink::io
