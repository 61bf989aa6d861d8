#pragma once

#include <cstdint>

#include "cuts/target.h"
#include "desk/desk.h"
#include "show/ring_out/ring_out.h"

namespace brink::desk {

// The show that is rung out owns its outputs: which of them is chosen and which are open, their
// faders, targets and cuts. The desk obeys it. Without an output the desk is its own.

/// Once a pass, after Desk::update(). The chosen output's target and cuts are the desk's, and every
/// output's cuts are in its loop on the simulated stage. There, one output is open at a time, until
/// RingOut::opens_all(). A fader of the stage goes up only when the show's was moved by a hand.
/// While a fader is not known to the show, or was moved or made without it, the stage's stands at
/// its start, where the output was left, or where the show has it, whichever is lowest.
///
/// The show is told in return where the stage's faders stand, as it is told what is heard.
/// [one face thread]
void obey_show(show::RingOut& flow, Desk& desk);

/// A hand moves the fader: the chosen output's, and the stage's own where none is rung out.
void move_fader(show::RingOut& flow, Desk& desk, double fader_db);

/// A hand makes the cut that is proposed for a live ring (LiveRing::id): a round of the show, and
/// on the desk's own equaliser where no output is rung out.
void make_cut(show::RingOut& flow, Desk& desk, std::uint64_t ring);

/// The target is the chosen output's, and the desk's own where none is rung out. `target` with its
/// source_text, as load_target() gives it.
void choose_target(show::RingOut& flow, Desk& desk, const cuts::Target& target);

}  // namespace brink::desk
