#pragma once

#include <string>
#include <vector>

namespace brink::io {

/// One cable in a sound server's graph: a source's port joined to one of our inputs.
struct Join {
  int channel = 0;     ///< our input, from 0
  std::string source;  ///< the full name of the source's port

  bool operator==(const Join&) const = default;
};

/// One line for each join, and back. So they outlive the process that captures.
[[nodiscard]] std::string to_lines(const std::vector<Join>& joins);
[[nodiscard]] std::vector<Join> joins_from_lines(const std::string& lines);

/// The joins that the user wants, learned from what a graph shows at each look. It is told apart
/// who opened a join: a source that left takes its port along, and is joined again when it comes
/// back. When the port stays, it was a user's hand, and the join is forgotten.
class WantedJoins {
 public:
  /// What to do in the graph so that it shows what is wanted.
  struct Work {
    std::vector<Join> make;
    std::vector<Join> undo;
  };

  /// `remembered`: joins of an earlier run. They replace those that the server made at the start.
  explicit WantedJoins(std::vector<Join> remembered);
  /// Begins with the joins of the first look.
  WantedJoins() = default;

  /// `joined`: the joins of our ports at present. `has_port`: whether that source's port is there.
  template <typename HasPort>
  [[nodiscard]] Work look(const std::vector<Join>& joined, const HasPort& has_port) {
    std::vector<bool> are_there;
    for (const State& state : states_) {
      are_there.push_back(has_port(state.join.source));
    }
    return judge(joined, are_there);
  }

  /// False when sources have left and no wanted join is there.
  [[nodiscard]] bool is_joined() const noexcept;
  [[nodiscard]] std::vector<Join> all() const;

 private:
  struct State {
    Join join;
    bool is_there = false;  // the join
    bool has_left = false;  // the source's port was missing since the join was there
    int open_looks = 0;     // for how many looks port and no join are there
  };

  [[nodiscard]] Work judge(const std::vector<Join>& joined, const std::vector<bool>& are_there);

  std::vector<State> states_;
  bool replaces_first_ = false;
};

}  // namespace brink::io
