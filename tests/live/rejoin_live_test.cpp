// Inputs on a JACK server that leave and come back, and joins that a user made by hand.
#include <doctest/doctest.h>

#include <chrono>
#include <csignal>
#include <string>
#include <thread>

#include "live/live_loop.h"

using namespace brink;
using nlohmann::json;
using tests::LiveLoop;

namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point then) {
  return std::chrono::duration<double>(Clock::now() - then).count();
}

template <typename Condition>
bool becomes_true(const Condition& condition) {
  const auto begun = Clock::now();
  while (!condition() && seconds_since(begun) < LiveLoop::kPatienceS) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return condition();
}

void join(LiveLoop& loop, const char* what, const char* from) {
  loop.tell_room(std::string(what) + ' ' + from + " brink:in_0");
}

bool is_joined(LiveLoop& loop, const char* from) {
  return loop.tell_room(std::string("joined ") + from + " brink:in_0") == 1.0;
}

}  // namespace

TEST_CASE("a JACK input that leaves and returns is joined again within a second") {
  LiveLoop loop;
  loop.start_room(-6.0, -70.0);
  loop.start_brink({});
  for (int turn = 0; turn < 2; ++turn) {
    const auto left = Clock::now();
    loop.end_room();
    const auto lost = loop.event("input-lost", 3.0);
    REQUIRE(lost.has_value());
    CHECK((*lost)["reason"] == "vanished");
    CHECK(seconds_since(left) < 1.0);
    loop.start_room(-6.0, -70.0);
    const auto returned = Clock::now();
    REQUIRE(loop.event("input-back", 5.0).has_value());
    MESSAGE("back " << seconds_since(returned) << " s after the input");
    CHECK(seconds_since(returned) < 1.0);
  }
  // It is the sound of that input.
  loop.set_gain(2.0);
  CHECK(loop.event("ringing").has_value());
  for (const json& event : loop.seen()) {
    INFO(event);
    CHECK((!event.contains("reason") || event["reason"] == "vanished"));
  }
}

TEST_CASE("joins made by hand are there again after the server was frozen") {
  LiveLoop loop;
  loop.start_room(-6.0, -70.0);
  tests::Process hall({JACK_ROOM, "hall", "100", "1000", "10", "-60", "-60"},
                      loop.server().client_options("hall.err"));
  REQUIRE(hall.read_line(LiveLoop::kPatienceS) == "ready");
  loop.start_brink({});
  join(loop, "part", "room:out");
  join(loop, "join", "hall:out");
  // What a hand took apart stays apart, also after the time in which a source could come back.
  REQUIRE(is_joined(loop, "hall:out"));
  const double parted_sample = loop.tell_room("samples");
  REQUIRE(becomes_true([&] { return loop.tell_room("samples") > parted_sample + 48000.0; }));
  CHECK_FALSE(is_joined(loop, "room:out"));

  const int child = tests::first_child(loop.brink().pid());
  REQUIRE(child != 0);
  loop.server().process().send_signal(SIGSTOP);
  REQUIRE(loop.event("input-lost", 3.0).has_value());
  // brink gives the frozen input up, and opens it anew.
  CHECK(becomes_true([&] { return tests::first_child(loop.brink().pid()) != child; }));
  loop.server().process().send_signal(SIGCONT);
  REQUIRE(loop.event("input-back", 10.0).has_value());
  CHECK(becomes_true([&] { return is_joined(loop, "hall:out"); }));
  CHECK_FALSE(is_joined(loop, "room:out"));
}
