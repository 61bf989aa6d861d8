#include "desk/desk.h"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <chrono>
#include <thread>
#include <vector>

#include "desk/obey_show.h"
#include "desk/show_keeper.h"
#include "desk/target_library.h"
#include "show/kept_target.h"
#include "support/files.h"

using namespace brink;
using desk::Desk;

namespace {

using namespace std::chrono_literals;

constexpr double kPatienceS = 30.0;  // only ever spent when something hangs

void do_nothing() {}

/// Passes of a window until `is_so`.
template <typename Pass, typename Condition>
bool pass_until(const Pass& pass, const Condition& is_so) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(kPatienceS);
  while (!is_so() && std::chrono::steady_clock::now() < end) {
    pass();
    std::this_thread::sleep_for(5ms);
  }
  return is_so();
}

using Outputs = std::vector<std::size_t>;

/// A show from an empty book, at a desk.
struct ShowAtDesk {
  ShowAtDesk() {
    REQUIRE(pass_until([this] { pass(); }, [this] { return !keeper.is_looking(); }));
  }

  /// Of a window.
  void pass() {
    desk.update();
    keeper.update();
    desk::obey_show(keeper.flow(), desk);
  }

  bool opens(const Outputs& outputs) {
    return pass_until([this] { pass(); }, [&] { return desk.open_outputs() == outputs; });
  }

  tests::TemporaryDirectory folder;
  std::string path = folder / "book.sqlite";
  io::Book book{path};
  desk::ShowKeeper keeper{path, book, "Mill hall", "Harvest night", do_nothing};
  Desk desk{do_nothing};
};

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("each output of the stage has its own loop, fader and equaliser") {
  Desk desk(do_nothing);
  const auto opens = [&](const Outputs& outputs) {
    return pass_until([&] { desk.update(); }, [&] { return desk.open_outputs() == outputs; });
  };
  REQUIRE(desk.open_outputs() == Outputs{0});
  desk.set_fader_db(-6.0);
  desk.set_equaliser({{}, {{1000.0, 8.0, -6.0}}});
  const int sources = desk.source_count();

  desk.choose_output(1);
  CHECK(desk.fader_db() == Desk::kStartFaderDb);
  CHECK(desk.equaliser().cuts.empty());
  REQUIRE(opens({1}));
  CHECK(desk.source_count() == sources + 1);
  CHECK(pass_until([&] { desk.update(); }, [&] { return desk.true_gain_won_db() == 0.0; }));
  desk.set_fader_db(-9.0);

  // All of them, for the last check; the hands are on the first again.
  desk.choose_output(0, 2);
  CHECK(desk.fader_db() == -6.0);
  CHECK(desk.equaliser().cuts.size() == 1);
  REQUIRE(opens({0, 1}));
  desk.choose_output(1, 2);
  CHECK(desk.fader_db() == -9.0);
  CHECK(opens({0, 1}));
  CHECK(desk.source_count() == sources + 2);  // no other loop, other hands

  desk.use_stage(5);
  CHECK(desk.open_outputs() == Outputs{0});
  CHECK(desk.fader_db() == Desk::kStartFaderDb);
}

TEST_CASE("one output of a show is open at a time, and all once all are done") {
  ShowAtDesk show;
  Desk& desk = show.desk;
  show::RingOut& flow = show.keeper.flow();
  flow.add_output({"wedge 1", "", "", ""});
  CHECK(show.opens({0}));
  show.pass();  // the flow finds where the stage's fader stands before it moves it
  flow.set_fader_db(-3.0);
  CHECK(flow.add_cut({500.0, 8.0, -3.0}));
  show.pass();
  CHECK(flow.back_off());
  flow.add_output({"wedge 2", "", "", ""});
  REQUIRE(show.opens({1}));
  CHECK(desk.fader_db() == Desk::kStartFaderDb);
  CHECK(desk.equaliser().cuts.empty());
  CHECK(flow.back_off());
  REQUIRE(show.opens({0, 1}));
  CHECK(flow.choose_output(0));
  show.pass();
  CHECK(desk.fader_db() == -3.0);
  CHECK(desk.equaliser().cuts.size() == 1);
  CHECK(flow.reopen());  // the last check found something
  show.pass();
  CHECK(show.opens({0, 1}));
}

TEST_CASE("a fader that was moved without the show is not taken up to where the show has it") {
  ShowAtDesk show;
  Desk& desk = show.desk;
  show::RingOut& flow = show.keeper.flow();
  flow.add_output({"wedge 1", "", "", ""});
  CHECK(show.opens({0}));
  show.pass();
  desk::move_fader(flow, desk, -3.0);  // by a hand: up
  show.pass();
  CHECK(desk.fader_db() == -3.0);
  CHECK(flow.undo());  // no output any more: the stage's fader is its own
  REQUIRE(flow.output() == nullptr);
  desk::move_fader(flow, desk, -20.0);
  show.pass();
  CHECK(flow.redo());
  show.pass();
  CHECK(desk.fader_db() == -20.0);
  CHECK(flow.fader_db() == -20.0);
  desk.use_stage(5);  // another stage: its faders stand at their start
  desk::move_fader(flow, desk, -1.0);
  show.pass();
  CHECK(desk.fader_db() == Desk::kStartFaderDb);
  CHECK(flow.fader_db() == Desk::kStartFaderDb);
}

TEST_CASE("a target that is chosen is the output's, also when only its text is another") {
  ShowAtDesk show;
  Desk& desk = show.desk;
  show::RingOut& flow = show.keeper.flow();
  flow.add_output({"wedge 1", "", "", ""});
  show.pass();
  CHECK(flow.target().name == "parametric");

  desk::choose_target(flow, desk, desk::load_target("third-octave"));
  show.pass();
  CHECK(desk.target().name == "third-octave");
  CHECK(flow.target().name == "third-octave");
  CHECK(flow.output()->target == desk::load_target("third-octave").source_text);

  const std::string file = show.folder / "desk.txt";
  for (const int bands : {3, 5}) {  // the user counted again
    tests::write_bytes(file, fmt::format("kind = parametric\nbands = {}\n", bands));
    desk::choose_target(flow, desk, desk::load_target(file));
    show.pass();
    CHECK(desk.target().bands == bands);
    CHECK(flow.target().name == "desk");
    CHECK(flow.target().bands == bands);
  }
}

TEST_SUITE_END();
