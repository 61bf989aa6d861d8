#include "listen/input_teller.h"

#include <doctest/doctest.h>

using namespace brink;
using io::InputHealth;
using listen::InputTeller;
using show::EventKind;
using show::LossReason;

TEST_CASE("an input that goes is told once, with the reason, and so is its return") {
  InputTeller teller({1, 2});
  CHECK_FALSE(teller.take_health(InputHealth::kRunning));
  const auto lost = teller.take_health(InputHealth::kFrozen);
  REQUIRE(lost);
  CHECK(lost->kind == EventKind::kInputLost);
  CHECK(lost->reason == LossReason::kFrozen);
  CHECK(lost->tap == show::SessionEvent::kAllTaps);
  CHECK_FALSE(teller.take_health(InputHealth::kVanished));  // it is still gone
  CHECK(teller.health() == InputHealth::kVanished);
  const auto back = teller.take_health(InputHealth::kRunning);
  REQUIRE(back);
  CHECK(back->kind == EventKind::kInputBack);
}

TEST_CASE("losses without a count are told at once, then once a second with what came between") {
  InputTeller teller({1});
  CHECK_FALSE(teller.take_gaps(0, 0.0));
  const auto first = teller.take_gaps(2, 0.1);
  REQUIRE(first);
  CHECK(first->kind == EventKind::kSamplesLost);
  CHECK(first->lost_samples == show::SessionEvent::kUnknownCount);
  CHECK_FALSE(teller.take_gaps(1, 1.0));
  CHECK(teller.take_gaps(0, 1.1));  // of the one that was not told
  CHECK_FALSE(teller.take_gaps(0, 5.0));
  CHECK(teller.gap_reports() == 3);
}

TEST_CASE("a tap of exact zeros is told once, and again after the input was gone") {
  InputTeller teller({3, 7});
  CHECK_FALSE(teller.take_silence(0, false));
  const auto silent = teller.take_silence(1, true);
  REQUIRE(silent);
  CHECK(silent->kind == EventKind::kInputLost);
  CHECK(silent->reason == LossReason::kZeros);
  CHECK(silent->tap == 7);
  CHECK_FALSE(teller.take_silence(1, true));
  CHECK_FALSE(teller.is_all_silent());
  CHECK(teller.take_silence(0, true));
  CHECK(teller.is_all_silent());
  CHECK(teller.take_health(InputHealth::kVanished));
  CHECK_FALSE(teller.is_all_silent());
  CHECK(teller.take_silence(1, true));
}
