#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace brink::io {

/// A device that sound can come from.
struct InputDevice {
  int number = 0;    ///< as `--input` takes it; may change when devices come and go
  std::string name;  ///< as the sound system calls it
  std::string api;   ///< the sound system, for instance "ALSA" or "JACK"
  int channels = 0;  ///< at most
  double default_rate_hz = 0.0;
  bool is_default = false;  ///< taken when no input is named

  /// Unlike the bare name, one of its kind: "system (JACK)".
  [[nodiscard]] std::string label() const;
};

/// The input that `wanted` means: empty for the default one, else a number, a label, a name, or a
/// part of a name that fits only one; letters count alike in both cases. Throws base::Error with a
/// sentence that names what there is.
[[nodiscard]] const InputDevice& find_input(std::span<const InputDevice> inputs,
                                            std::string_view wanted);

/// All inputs, asked for in a child process (`program` with the argument that makes it one, see
/// capture_child.h), so that a dead or frozen sound server can neither hang this one nor write to
/// its terminal. Empty when there are none. Throws base::Error when the sound system does not
/// answer within 5 s or cannot be started.
[[nodiscard]] std::vector<InputDevice> list_inputs(const std::string& program);

/// One line for each, and back: what the child writes and the parent reads.
[[nodiscard]] std::string to_lines(std::span<const InputDevice> inputs);
[[nodiscard]] std::vector<InputDevice> from_lines(std::string_view lines);

}  // namespace brink::io
