#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "detector/ring.h"
#include "listen/snapshot.h"
#include "show/channel_names.h"
#include "show/live_rings.h"

namespace brink::report {

/// A ring as the page shows it.
struct PageRing {
  detector::Ring ring;             ///< as it is now
  std::string cut;                 ///< "cut 2.63 kHz  Q 8  -6.0 dB", "no cut yet"
  std::vector<std::string> bands;  ///< each that changes, where they are several
  int tap = 0;
};

/// The output that is rung out, in the window's words.
struct PageRound {
  struct Row {
    std::string cut;
    std::string check;
  };

  std::string output;
  std::string heading;  ///< "Round 3"
  std::string instruction;
  std::vector<std::string> facts;  ///< fader, what was won, advice
  std::vector<Row> rounds;
};

/// What a reader may do.
struct PageKey {
  std::string name;  ///< for this one time: it says what was shown when it was on offer
  std::string word;  ///< "Log this cut"
  std::string about;
};

/// What the page shows at one moment. The pointers are valid during page_state_json().
struct PageView {
  const listen::Snapshot* snapshot = nullptr;
  const show::ChannelNames* names = nullptr;
  std::string source;
  std::vector<PageRing> rings;  ///< what needs a hand first stands first
  std::optional<PageRound> round;
  std::vector<PageKey> keys;
  std::string answer;   ///< what the last key did
  std::string trouble;  ///< one sentence; empty: all is well
  bool hides_answers = false;
};

/// One line of JSON without a line break, schema "brink/page/1", as page.js takes it: words ready
/// to be shown, levels, and the points of the map, at most kMostPoints with a ring or the loudest.
/// While answers are hidden no frequency is in it.
[[nodiscard]] std::string page_state_json(const PageView& view);

inline constexpr std::size_t kMostPoints = 120;

/// Nothing but exact zeros comes, or nothing at all.
[[nodiscard]] bool is_deaf(const listen::Snapshot& snapshot);

}  // namespace brink::report
