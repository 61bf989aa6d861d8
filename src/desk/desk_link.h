#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "desk/desk.h"
#include "desk/show_keeper.h"

namespace brink::desk {

/// Keeps a desk and the output that is rung out at it in step. The output's cuts are the desk's
/// equaliser, its target the board's, and on the simulated stage its fader is the stage's:
/// whichever side was moved, the other follows; but the stage's goes up only when the output's was
/// moved, never because something else is shown. While the fader of an output is not known the
/// stage's stands at its start, or where the output was left, whichever is lower. Each output has a
/// loop of its own on the stage, where it is open alone until all are done, and then together with
/// all. [one face thread]
class DeskLink {
 public:
  /// Once a pass, after Desk::update().
  void follow(ShowKeeper& keeper, Desk& desk);

 private:
  void choose_output(const show::RingOut& flow, int show_count, Desk& desk);
  static void lower_unknown_faders(const show::RingOut& flow, Desk& desk);
  static void show_faders(show::RingOut& flow, const Desk& desk);
  void follow_fader(show::RingOut& flow, Desk& desk, bool is_other);
  void follow_target(show::RingOut& flow, Desk& desk);

  std::optional<std::size_t> chosen_;
  std::uint64_t revision_ = 0;
  int source_count_ = 0;
  int show_count_ = 0;
  std::size_t output_count_ = 0;
  bool are_all_open_ = false;
  double desk_fader_db_ = 0.0;
  std::string flow_target_;
  std::string board_target_;
};

}  // namespace brink::desk
