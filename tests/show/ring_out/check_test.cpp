#include <doctest/doctest.h>

#include <array>
#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "show/ring_out/ring_out.h"
#include "support/wedge.h"

using namespace brink;
using show::Phase;
using show::RingOut;
using tests::Wedge;

TEST_CASE("a check has listened: for ten seconds, to sound, with every output at its place") {
  Wedge wedge;
  wedge.round(-10.0, 700.0);
  wedge.listens(20.0);
  CHECK(wedge.flow.check_obstacle() == "wedge 1 is not ended yet: back it off first.");
  wedge.flow.back_off();
  CHECK(wedge.flow.check_obstacle() == "Say that wedge 1 is open at -16.0 dB.");
  CHECK(wedge.flow.say_in_place(0));
  CHECK(wedge.flow.check_obstacle() == "0 of 10 s are listened to, and no sound comes.");
  wedge.listens(5.0);
  CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  wedge.listens(20.0, -90.0);  // no microphone
  CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  wedge.listens(6.0, -28.4);
  CHECK(wedge.flow.check_obstacle().empty());
  CHECK(wedge.flow.log_last_check(wedge.heard.now()));
  const show::CheckRecord& check = wedge.flow.record().check.value();
  CHECK(check.listened_s == doctest::Approx(11.0).epsilon(0.03));
  CHECK(check.loudest_dbfs == -28.4);
  CHECK(check.rang_hz.empty());
  // A ring that came and went meanwhile is told.
  wedge.flow.set_fader_db(-17.0);
  CHECK(!wedge.flow.record().check);
  CHECK(!wedge.flow.say_in_place(0));
  CHECK(wedge.flow.check_obstacle() == "wedge 1 stands at -17.0 dB; its place is -16.0 dB.");
  wedge.flow.set_fader_db(-16.0);
  CHECK(wedge.flow.say_in_place(0));
  wedge.listens(5.0);
  wedge.fades(wedge.rings(1800.0), 1800.0);
  wedge.listens(6.0);
  CHECK(wedge.flow.log_last_check(wedge.heard.now()));
  CHECK(wedge.flow.record().check->rang_hz == std::vector{1800.0});
  // After a restart nothing is known to be in place, and the check is what it was.
  RingOut later(wedge.flow.record());
  CHECK(later.record().check == wedge.flow.record().check);
  later.see_faders(std::vector<std::optional<double>>{-12.0});
  CHECK(later.check_obstacle() == "wedge 1 stands at -12.0 dB; its place is -16.0 dB.");
  CHECK(later.find_fader_db(-12.0));
  CHECK(later.record().check);  // nobody moved anything
  later.see_faders(std::vector<std::optional<double>>{std::nullopt});
  CHECK(later.check_obstacle() == "wedge 1 is not open with its cuts in.");
}

TEST_CASE("the last check vouches for nothing that came after it") {
  using Act = std::function<void(Wedge&)>;
  const std::array<Act, 11> acts{
      [](Wedge& it) { it.flow.set_fader_db(-20.0); },
      [](Wedge& it) {
        it.flow.add_output({"wedge 2", "", "", ""});
      },
      [](Wedge& it) {
        it.flow.change_output({"wedge 1", "vocal", "", "octave"});
      },
      [](Wedge& it) {
        it.flow.add_cut({250.0, 4.0, -3.0});
      },
      [](Wedge& it) {
        it.flow.edit_cut(0, {720.0, 4.0, -3.0});
      },
      [](Wedge& it) { it.flow.remove_cut(0); },
      [](Wedge& it) { it.flow.reopen(); },
      [](Wedge& it) {
        it.rings(1234.0);
        it.log_first();
      },
      [](Wedge& it) {
        it.rings(1234.0);
        it.flow.dismiss(it.flow.offered()[0].id, "hum", it.heard.now());
      },
      [](Wedge& it) { it.flow.undo(); },
      [](Wedge& it) {
        it.flow.note_show("loud");
        it.flow.undo();
      },
  };
  for (std::size_t i = 0; i < acts.size(); ++i) {
    CAPTURE(i);
    Wedge wedge;
    wedge.passes_last_check();
    CHECK(wedge.flow.undo_what() == "the last check");
    CHECK(wedge.flow.note_output("dry"));  // words leave it as it is
    CHECK(wedge.flow.name_show("Tannery", "second night"));
    CHECK(wedge.flow.record().check);
    wedge.fades(wedge.rings(3000.0), 3000.0);  // the check says when it was
    CHECK(wedge.flow.record().check);
    const auto revision = wedge.flow.revision();
    acts.at(i)(wedge);
    CHECK(!wedge.flow.record().check);
    CHECK(wedge.flow.revision() > revision);
    CHECK(!wedge.flow.log_last_check(wedge.heard.now()));
  }
}

TEST_CASE("while something rings after the check, the advice is about that") {
  Wedge wedge;
  wedge.passes_last_check();
  wedge.rings(1234.0);
  CHECK(wedge.flow.phase() == Phase::kCatch);
  CHECK(std::string(wedge.flow.instruction()).find("Pull the fader down") == 0);
}

TEST_CASE("a proposal made elsewhere is taken when it still fits, and dropped when it does not") {
  Wedge wedge;
  wedge.rings(700.0);
  const auto input = wedge.flow.next_to_propose();
  REQUIRE(input.has_value());
  const show::Proposal proposal = show::propose(*input);
  wedge.flow.add_cut({3000.0, 4.0, -3.0});  // meanwhile
  wedge.flow.take_proposal(*input, proposal);
  CHECK(!wedge.flow.offered()[0].proposal.has_value());
  const auto again = wedge.flow.next_to_propose();
  REQUIRE(again.has_value());
  wedge.flow.take_proposal(*again, show::propose(*again));
  CHECK(wedge.flow.offered()[0].proposal.has_value());
  CHECK(!wedge.flow.next_to_propose().has_value());
}
