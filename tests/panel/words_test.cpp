#include "panel/draw/words.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "base/units.h"
#include "listen/together.h"
#include "panel/draw/level_meter.h"
#include "panel/live/instruction.h"
#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"
#include "panel/ring_out/ring_out_forms.h"
#include "panel/ring_out/round_card.h"
#include "support/paper.h"

using namespace brink;
using namespace brink::panel;

namespace {

listen::Snapshot one_tap() {
  listen::Snapshot snapshot;
  snapshot.taps.resize(1);
  snapshot.taps[0].level.peak_dbfs = -18.0;
  return snapshot;
}

std::string level_of(const listen::Snapshot& snapshot) {
  return level_words(snapshot.taps[0], snapshot.health);
}

}  // namespace

TEST_CASE("nothing is said of a loop that is not heard") {
  View view;
  listen::Snapshot snapshot = one_tap();
  CHECK(deaf_words(snapshot, view).empty());
  CHECK(level_of(snapshot) == "-18 dBFS");

  for (const io::InputHealth health : {io::InputHealth::kVanished, io::InputHealth::kFrozen}) {
    snapshot.health = health;
    CHECK(deaf_words(snapshot, view) == "brink hears nothing");
    CHECK(level_of(snapshot) == "no input");
  }

  snapshot = one_tap();
  snapshot.taps[0].level.is_silent = true;  // exact zeros
  CHECK(deaf_words(snapshot, view) == "brink hears nothing");
  CHECK(level_of(snapshot) == "no signal");

  snapshot.taps.resize(2);  // the other one is heard
  view.tap_index = 0;
  CHECK(deaf_words(snapshot, view) == "channel 1 is silent");
  view.tap_index.reset();  // all together
  listen::put_together(snapshot.taps, snapshot.together);
  CHECK(deaf_words(snapshot, view).empty());

  for (const bool is_check : {false, true}) {
    CHECK(quiet_words("", is_check).heading.find("rings") != std::string::npos);
    CHECK(quiet_words("brink hears nothing", is_check).heading == "brink hears nothing");
  }
}

TEST_CASE("a level that is no number yet is not shown as one") {
  listen::Snapshot snapshot = one_tap();
  snapshot.taps[0].level.peak_dbfs = base::kSilenceDb;  // zeros for less than half a second
  CHECK(level_of(snapshot) == "no signal");
}

TEST_CASE("a graphic's cuts are told by what its faders say, without the Q that they do not have") {
  const std::vector<cuts::Cut> cuts{{1584.893, 4.318, -6.0}, {398.107, 4.318, -3.0}};
  CHECK(cut_words(cuts, cuts::Target::Kind::kGraphic) ==
        "cut 1.6 kHz  -6.0 dB  and 400 Hz  -3.0 dB");
}

TEST_CASE("growth, state and shape never say the contrary of each other") {
  using detector::RingState;
  const auto words = [](RingState state, double growth_db_per_s, bool is_certain = true) {
    detector::Ring ring;
    ring.state = state;
    ring.growth_db_per_s = growth_db_per_s;
    ring.level_dbfs = -40.0;
    ring.flagged_sample = is_certain ? 100 : detector::kNever;
    return ring_words(ring);
  };
  CHECK(words(RingState::kBuilding, 12.4, false).growth == "+12 dB/s");
  CHECK(words(RingState::kBuilding, -18.0, false).state == RingState::kFading);
  CHECK(words(RingState::kBuilding, -0.5, false).growth.empty());
  CHECK(words(RingState::kRinging, 24.7).growth == "+25 dB/s");
  CHECK(words(RingState::kRinging, -0.01).growth == "steady");  // at the limiter
  CHECK(words(RingState::kRinging, -11.0).state == RingState::kFading);
  CHECK(words(RingState::kRinging, -11.0).growth == "-11 dB/s");
  CHECK(words(RingState::kFading, -30.0).growth == "-30 dB/s");
  CHECK(words(RingState::kFading, 0.3).growth.empty());
  CHECK(words(RingState::kFading, 26.0).state == RingState::kRinging);
  CHECK(words(RingState::kFading, 26.0, false).state == RingState::kBuilding);
  CHECK(words(RingState::kGone, 26.0).growth.empty());
  CHECK(growth_words(-0.01) == "0.0 dB/s");
  CHECK(growth_words(9.97) == "+10 dB/s");
}

TEST_CASE("a ring near the limit or rising fast is down now, and only a slow one down a little") {
  detector::Ring ring;
  ring.state = detector::RingState::kRinging;
  ring.flagged_sample = 100;
  ring.level_dbfs = -40.0;
  ring.growth_db_per_s = 31.0;
  CHECK(ring_words(ring).is_urgent);
  CHECK(catch_words(ring) == "Down now, then make the cut.");
  ring.growth_db_per_s = 20.0;
  CHECK_FALSE(ring_words(ring).is_urgent);
  CHECK(catch_words(ring).find("a little") == std::string::npos);
  ring.growth_db_per_s = 2.0;
  CHECK(catch_words(ring).find("a little") != std::string::npos);
  ring.growth_db_per_s = 0.0;
  ring.level_dbfs = -10.0;  // over the meter's mark
  CHECK(catch_words(ring) == "Down now, then make the cut.");
  ring.flagged_sample = detector::kNever;
  ring.state = detector::RingState::kBuilding;  // it may be music
  CHECK_FALSE(ring_words(ring).is_urgent);
  ring.state = detector::RingState::kGone;
  CHECK(catch_words(ring).find("over") != std::string::npos);
}

TEST_CASE("what is over is not counted as more that rings") {
  CHECK(more_words(2, 0) == "and 2 more");
  CHECK(more_words(2, 1) == "and 2 more, 1 is over");
  CHECK(more_words(0, 3) == "3 are over");
  CHECK(more_words(0, 0).empty());
}

TEST_CASE("every band that a key will change is told before") {
  using Kind = show::Proposal::Kind;
  const std::vector<cuts::Band> before{{1000.0, 8.0, -3.0}};
  show::Proposal proposal{Kind::kDeepens, {{1000.0, 8.0, -6.0}}, 0, -3.0, "deepens it"};
  const auto parametric = cuts::Target::Kind::kParametric;
  CHECK(proposal_words(proposal, before, parametric).cut == "cut 1.00 kHz  Q 8  -6.0 dB");
  CHECK(proposal_words(proposal, before, parametric).bands.empty());
  proposal.cuts.push_back({3000.0, 4.0, -6.0});
  const ProposalWords words = proposal_words(proposal, before, parametric);
  CHECK(words.cut == "sets 2 bands");
  CHECK(words.bands == std::vector<std::string>{"1.00 kHz  Q 8  -6.0 dB, was -3.0 dB",
                                                "3.00 kHz  Q 4  -6.0 dB, new"});
}

TEST_CASE("a typed fader position that cannot be meant is refused with a sentence") {
  const FaderRange device;
  CHECK_FALSE(fader_fault(-6.0, device, -40.0));
  CHECK_FALSE(fader_fault(20.0, device, -120.0));  // brink is only told
  CHECK(fader_fault(9999.0, device, -6.0) ==
        "A fader stands between -120 and +20 dB; type where in between.");
  CHECK(fader_fault(std::nullopt, device, 0.0) == "That is no number of dB, such as -6 or 2.5.");
  CHECK_FALSE(fader_fault(0.0, kStageFader, -12.0));
  CHECK_FALSE(fader_fault(-30.0, kStageFader, 12.0));
  CHECK(fader_fault(12.5, kStageFader, 10.0) ==
        "A fader stands between -30 and +12 dB; type where in between.");
  CHECK(fader_fault(6.0, kStageFader, -12.0) ==
        "That is 18.0 dB up at once; type +0.0 at most, and listen there first.");
}

TEST_CASE("names in Greek and Cyrillic have their letters at every size that shows one") {
  tests::Paper paper(960.0F, 600.0F);
  paper.pass([] {});
  const Theme& theme = paper.theme();
  for (ImFont* const font : {theme.small, theme.body, theme.strong, theme.title}) {
    for (const ImWchar letter :
         {u'\u03A9', u'\u03BB', u'\u0416', u'\u0449', u'\u0457', u'\u0142'}) {
      CHECK(font->FindGlyphNoFallback(letter) != nullptr);
    }
  }
}
