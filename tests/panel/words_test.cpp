#include "panel/draw/words.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "base/units.h"
#include "panel/draw/level_meter.h"
#include "panel/live/ring_rows.h"
#include "panel/live/shown_tap.h"
#include "panel/ring_out/ring_out_forms.h"
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
  const View view;
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
  CHECK(deaf_words(snapshot, view) == "channel 1 is silent");

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

TEST_CASE("growth never says the contrary of the state beside it") {
  using detector::RingState;
  CHECK(growth_words(RingState::kBuilding, 12.4) == "+12 dB/s");
  CHECK(growth_words(RingState::kBuilding, -18.0) == "falling");
  CHECK(growth_words(RingState::kRinging, 34.7) == "+35 dB/s");
  CHECK(growth_words(RingState::kRinging, -0.01) == "steady");  // at the limiter
  CHECK(growth_words(RingState::kRinging, -11.0) == "falling");
  CHECK(growth_words(RingState::kFading, -30.0) == "-30 dB/s");
  CHECK(growth_words(RingState::kFading, 0.3) == "steady");
  CHECK(growth_words(RingState::kFading, 26.0) == "rising");
  CHECK(growth_words(RingState::kGone, 26.0).empty());
  CHECK(growth_words(-0.01) == "0.0 dB/s");
  CHECK(growth_words(9.97) == "+10 dB/s");
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
