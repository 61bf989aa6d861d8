#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "cuts/link/scale.h"

namespace brink::cuts {

/// A number of a console that brink reads or sets, and how it is reached.
struct LinkControl {
  std::string address;      ///< of Open Sound Control; empty with MIDI
  int channel = 0;          ///< MIDI, 1 to 16
  int controller = 0;       ///< MIDI, 1 to 119
  std::optional<int> fine;  ///< MIDI: the controller of the lower seven bits, where there is one
  Scale scale;              ///< with `fine` its numbers go to 16383
  int line = 0;             ///< of the text that said so

  friend bool operator==(const LinkControl&, const LinkControl&) = default;
};

/// How a console's bands and the output's fader are reached; docs/console-link.md describes it.
/// brink knows no console: all of it is what a user wrote.
struct Link {
  enum class Wire : std::uint8_t { kOsc, kMidi };
  enum class Answers : std::uint8_t {
    kAsked,  ///< a message without a number is answered with the number
    kTold,   ///< the console tells what changes, and cannot be asked
    kNever,
  };

  struct Band {
    std::optional<LinkControl> frequency;  ///< with `q` or not at all; of a graphic not
    std::optional<LinkControl> q;
    std::optional<LinkControl> depth;

    friend bool operator==(const Band&, const Band&) = default;
  };

  Wire wire = Wire::kOsc;
  std::string console;  ///< Open Sound Control: HOST:PORT. MIDI: what its port's name contains
  Answers answers = Answers::kAsked;
  int reply_port = 0;      ///< UDP port that the console answers to; 0: whichever it was asked from
  std::string keep_alive;  ///< address that is sent to the console again and again; empty: none
  double keep_alive_s = 5.0;
  std::optional<LinkControl> fader;
  std::vector<Band> bands;  ///< empty: the fader alone is linked. Otherwise one for each band

  friend bool operator==(const Link&, const Link&) = default;
};

/// One of a link's controls.
struct LinkPart {
  enum class Kind : std::uint8_t { kFader, kFrequency, kQ, kDepth };

  Kind kind = Kind::kFader;
  std::size_t band = 0;  ///< from 0; of the fader 0

  friend bool operator==(const LinkPart&, const LinkPart&) = default;
};

/// All parts that the link has, the fader first, then band after band.
[[nodiscard]] std::vector<LinkPart> parts(const Link& link);

/// `part` must be one of parts().
[[nodiscard]] const LinkControl& control(const Link& link, const LinkPart& part);

/// "fader", "band 2 frequency", ...
[[nodiscard]] std::string to_words(const LinkPart& part);

/// "/wedge/1/fader", "channel 1 controller 7", "channel 1 controller 7 fine 39".
[[nodiscard]] std::string to_words(const LinkControl& control);

}  // namespace brink::cuts
