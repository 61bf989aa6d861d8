#include "panel/words.h"

#include <doctest/doctest.h>

#include <string>

#include "core/units.h"
#include "panel/level_meter.h"
#include "panel/ring_rows.h"
#include "panel/shown_tap.h"

using namespace brink;
using namespace brink::panel;

namespace {

app::Snapshot one_tap() {
  app::Snapshot snapshot;
  snapshot.taps.resize(1);
  snapshot.taps[0].level.peak_dbfs = -18.0;
  return snapshot;
}

std::string level_of(const app::Snapshot& snapshot) {
  return level_words(snapshot.taps[0], snapshot.health);
}

}  // namespace

TEST_CASE("nothing is said of a loop that is not heard") {
  const View view;
  app::Snapshot snapshot = one_tap();
  CHECK(hears(snapshot, view));
  CHECK(level_of(snapshot) == "-18 dBFS");

  for (const io::InputHealth health : {io::InputHealth::kVanished, io::InputHealth::kFrozen}) {
    snapshot.health = health;
    CHECK_FALSE(hears(snapshot, view));
    CHECK(level_of(snapshot) == "no input");
  }

  snapshot = one_tap();
  snapshot.taps[0].level.is_silent = true;  // exact zeros
  CHECK_FALSE(hears(snapshot, view));
  CHECK(level_of(snapshot) == "no signal");

  for (const bool is_check : {false, true}) {
    CHECK(std::string(quiet_words(true, is_check).heading).find("rings") != std::string::npos);
    CHECK(std::string(quiet_words(false, is_check).heading) == "brink hears nothing");
  }
}

TEST_CASE("a level that is no number yet is not shown as one") {
  app::Snapshot snapshot = one_tap();
  snapshot.taps[0].level.peak_dbfs = core::kSilenceDb;  // zeros for less than half a second
  CHECK(level_of(snapshot) == "no signal");
}
