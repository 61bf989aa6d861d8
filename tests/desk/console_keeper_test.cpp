#include "desk/console_keeper.h"

#include <doctest/doctest.h>

#include <chrono>
#include <functional>
#include <map>
#include <string>
#include <thread>

#include "desk/show_keeper.h"
#include "show/ring_out/ring_out_view.h"
#include "support/simulated_console.h"
#include "support/udp_console.h"

using namespace brink;
using tests::UdpConsole;

namespace {

std::map<std::string, float> flat_console() {
  std::map<std::string, float> numbers{{"/out/1/level", 0.5F}};  // -10 dB
  for (int band = 1; band <= 4; ++band) {
    for (const char* const what : {"hz", "q", "db"}) {
      numbers["/out/1/eq/" + std::to_string(band) + "/" + what] = 0.5F;
    }
  }
  return numbers;
}

/// An output that is rung out on a device, and its console.
struct Evening {
  UdpConsole console{flat_console()};
  show::RingOut flow{desk::new_show("Old Tannery", "Friday")};
  desk::ConsoleKeeper keeper{{}};

  Evening() {
    std::string text = tests::linked_target_text();
    const std::string old = "127.0.0.1:9000";
    text.replace(text.find(old), old.size(), "127.0.0.1:" + std::to_string(console.port()));
    flow.add_output({"Wedge 1", "", "", text});
  }

  bool follow_until(const std::function<bool()>& is_so) {
    const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(30);
    do {
      keeper.follow(flow, false);
      if (is_so()) {
        return true;
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    } while (std::chrono::steady_clock::now() < end);
    return false;
  }

  bool link() {
    keeper.switch_on(true);
    return follow_until([&] { return keeper.fader_db() && console.asked() > 40; });
  }

  std::string first_words() {
    const auto words = keeper.report_words();
    return words.empty() ? "" : words.front();
  }
};

const cuts::Band kCut{2000.0, 8.0, -3.0};

}  // namespace

TEST_SUITE_BEGIN("threads");

TEST_CASE("a console hears nothing before the link is switched on, and after it is switched off") {
  Evening evening;
  evening.keeper.follow(evening.flow, false);
  CHECK(evening.keeper.can_link());
  CHECK(evening.keeper.state_words().empty());
  evening.flow.add_cut(kCut);
  evening.keeper.follow(evening.flow, false);
  CHECK(evening.console.asked() == 0);
  CHECK(evening.link());
  // What was cut before the link is not sent.
  CHECK(evening.console.told().empty());
  evening.keeper.switch_on(false);
  evening.keeper.follow(evening.flow, false);
  CHECK(evening.keeper.state_words().empty());
  CHECK(!evening.keeper.fader_db());
}

TEST_CASE("the show learns the fader from the console, and a typed one that differs is said") {
  Evening evening;
  REQUIRE(evening.link());
  CHECK(evening.flow.fader_db() == doctest::Approx(-10.0));
  evening.console.set("/out/1/level", 0.75F);  // 0 dB
  CHECK(evening.follow_until([&] { return evening.flow.fader_db() == doctest::Approx(0.0); }));
  evening.flow.set_fader_db(-7.0);
  CHECK(evening.follow_until([&] { return !evening.keeper.disagreement().empty(); }));
  CHECK(evening.keeper.disagreement() ==
        "The console's fader reads +0.0 dB, but -7.0 dB was typed; what was typed counts until the "
        "fader moves.");
  CHECK(evening.flow.fader_db() == doctest::Approx(-7.0));
  evening.console.set("/out/1/level", 0.5F);
  CHECK(evening.follow_until([&] { return evening.flow.fader_db() == doctest::Approx(-10.0); }));
  CHECK(evening.keeper.disagreement().empty());
}

TEST_CASE("a cut goes to the console, its undo is left to the hand") {
  Evening evening;
  REQUIRE(evening.link());
  evening.flow.add_cut(kCut);
  // The target's nearest: its own steps of frequency and Q.
  CHECK(evening.follow_until([&] {
    const std::string words = evening.first_words();
    return words.find("Console, band 1: ") == 0 && words.find("read back.") != std::string::npos;
  }));
  CHECK(evening.console.number("/out/1/eq/1/db") == doctest::Approx(0.4).epsilon(1e-3));
  const std::size_t told = evening.console.told().size();
  evening.flow.undo();
  CHECK(evening.follow_until(
      [&] { return evening.first_words().find("Set band 1 by hand: ") == 0; }));
  CHECK(evening.first_words().find("taken out; brink never takes a cut out.") != std::string::npos);
  CHECK(evening.console.told().size() == told);
}

TEST_CASE("a console that is gone is an alarm until it is back") {
  Evening evening;
  REQUIRE(evening.link());
  CHECK(evening.keeper.alarm().empty());
  evening.console.switch_on(false);
  CHECK(evening.follow_until([&] { return !evening.keeper.alarm().empty(); }));
  CHECK(evening.keeper.state_words() == "The console does not answer any more: go on by hand.");
  CHECK(evening.flow.fader_db() == doctest::Approx(-10.0));  // where it was last seen
  evening.console.switch_on(true);
  CHECK(evening.follow_until([&] { return evening.keeper.alarm().empty(); }));
}

TEST_CASE("on the simulated stage no console is linked") {
  Evening evening;
  evening.keeper.switch_on(true);
  evening.flow.add_cut(kCut);
  for (int pass = 0; pass < 20; ++pass) {
    evening.keeper.follow(evening.flow, true);
  }
  CHECK(!evening.keeper.can_link());
  CHECK(evening.console.asked() == 0);
}

TEST_SUITE_END();

TEST_CASE("the first point of the checklist says that the equaliser is flat") {
  // ConsoleKeeper believes a console that does not answer to be flat when it is ticked.
  CHECK(std::string(show::prepare_points().front()) == "equaliser flat");
}
