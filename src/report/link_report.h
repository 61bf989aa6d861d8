#pragma once

#include <chrono>
#include <string>

#include "cuts/link/link.h"
#include "cuts/target.h"
#include "io/link/console_wire.h"

namespace brink::report {

/// What trying every line of a target's link showed (cuts::try_link()), for people; without a link,
/// that there is none.
[[nodiscard]] std::string link_text(const cuts::Target& target);

/// {"schema":"brink/target/1",...} on one line.
[[nodiscard]] std::string link_json(const cuts::Target& target);

/// "OSC 192.168.1.20:9000", "MIDI Lantern".
[[nodiscard]] std::string wire_words(const cuts::Link& link);

/// What arrived from a console, as a line: "20:14:03.120  /out/1/level  0.75  fader 0.0 dB".
[[nodiscard]] std::string heard_text(const cuts::Link& link,
                                     const io::ConsoleWord& word,
                                     std::chrono::system_clock::time_point wall);
/// {"schema":"brink/target-heard/1",...} on one line.
[[nodiscard]] std::string heard_json(const cuts::Link& link,
                                     const io::ConsoleWord& word,
                                     std::chrono::system_clock::time_point wall);

}  // namespace brink::report
