#include "io/link/console_link.h"

#include <doctest/doctest.h>

#include <chrono>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <random>
#include <string>
#include <thread>

#include "support/simulated_console.h"
#include "support/udp_console.h"

using namespace brink;
using namespace std::string_literals;
using State = cuts::LinkReport::State;
using tests::UdpConsole;

namespace {

// Scales of tests::linked_target_text(): 0.5 is 0 dB of a band and -10 dB of the fader.
std::map<std::string, float> flat_console() {
  std::map<std::string, float> numbers{{"/out/1/level", 0.5F}};
  for (int band = 1; band <= 4; ++band) {
    const std::string at = "/out/1/eq/" + std::to_string(band);
    numbers[at + "/hz"] = 0.5F;
    numbers[at + "/q"] = 0.5F;
    numbers[at + "/db"] = 0.5F;
  }
  return numbers;
}

cuts::LinkedTarget target_at(int port) {
  std::string text = tests::linked_target_text();
  const std::string old = "127.0.0.1:9000";
  text.replace(text.find(old), old.size(), "127.0.0.1:" + std::to_string(port));
  return tests::linked_target(text);
}

/// Waits, for at most half a minute, until it is so.
bool wait_for(const std::function<bool()>& is_so) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(30);
  while (!is_so()) {
    if (std::chrono::steady_clock::now() > end) {
      return false;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  return true;
}

bool has_read_all(UdpConsole& console, io::ConsoleLink& link) {
  return wait_for([&] { return link.view().is_alive && console.asked() > 40; });
}

const cuts::Band kCut{2631.0, 8.0, -6.0};

bool is_last(io::ConsoleLink& link, State state) {
  const auto& reports = link.view().reports;
  return !reports.empty() && reports.back().state == state;
}

}  // namespace

TEST_SUITE_BEGIN("threads");

TEST_CASE("a logged cut goes to a console over the network and is read back") {
  UdpConsole console(flat_console());
  io::ConsoleLink link(target_at(console.port()), {});
  REQUIRE(has_read_all(console, link));
  REQUIRE(wait_for([&] { return link.view().fader_db.has_value(); }));
  CHECK(*link.view().fader_db == doctest::Approx(-10.0));
  CHECK(console.told().empty());
  CHECK(link.log({}, std::span(&kCut, 1)));
  REQUIRE(wait_for([&] { return is_last(link, State::kConfirmed); }));
  // 2631 Hz lies log10(2631 / 20) / 3 of the way; Q 8 ln(8 / 20) / ln(0.3 / 20); -6 dB 9 / 30.
  CHECK(console.number("/out/1/eq/1/hz") == doctest::Approx(0.70637).epsilon(1e-4));
  CHECK(console.number("/out/1/eq/1/q") == doctest::Approx(0.21818).epsilon(1e-4));
  CHECK(console.number("/out/1/eq/1/db") == doctest::Approx(0.3).epsilon(1e-4));
  float depth = 0.5F;
  for (const auto& [address, number] : console.told()) {
    CHECK(address != "/out/1/level");
    if (address == "/out/1/eq/1/db") {
      CHECK(number <= depth);                         // only downwards
      CHECK(depth - number <= 1.0F / 30.0F + 1e-4F);  // at most 1 dB
      depth = number;
    }
  }
}

TEST_CASE("the fader of a console is followed, and nobody else's word counts") {
  UdpConsole console(flat_console());
  io::ConsoleLink link(target_at(console.port()), {});
  REQUIRE(has_read_all(console, link));
  // Another host (127.0.0.2) says 0 dB, again and again.
  for (int i = 0; i < 50; ++i) {
    console.say(tests::osc_bytes("/out/1/level", 0.75F), true);
    const auto fader_db = link.view().fader_db;
    CHECK(fader_db.value_or(-10.0) == doctest::Approx(-10.0));
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  console.set("/out/1/level", 0.75F);  // 0 dB
  CHECK(wait_for([&] { return std::abs(link.view().fader_db.value_or(-99.0)) < 1e-3; }));
}

TEST_CASE("a console that goes away is said, and one that comes back is found again") {
  UdpConsole console(flat_console());
  io::ConsoleLink link(target_at(console.port()), {});
  REQUIRE(has_read_all(console, link));
  console.switch_on(false);
  CHECK(wait_for([&] { return !link.view().is_alive; }));
  CHECK(link.view().was_alive);
  CHECK(!link.view().fader_db);
  CHECK(link.log({}, std::span(&kCut, 1)));
  CHECK(wait_for([&] { return is_last(link, State::kByHand); }));
  console.switch_on(true);
  CHECK(wait_for([&] { return link.view().is_alive && link.view().fader_db.has_value(); }));
  CHECK(console.told().empty());
}

TEST_CASE("lost, doubled and late packets only delay a cut") {
  UdpConsole console(flat_console(), {0.2, 0.3, 100, true});
  io::ConsoleLink link(target_at(console.port()), {});
  REQUIRE(has_read_all(console, link));
  const cuts::Band cut{2631.0, 8.0, -3.0};
  // A band that was not read yet is not sent to: as the engineer would, the key again.
  REQUIRE(wait_for([&] { return console.asked() > 120; }));
  CHECK(link.log({}, std::span(&cut, 1)));
  REQUIRE(wait_for([&] {
    return is_last(link, State::kConfirmed) || is_last(link, State::kSent) ||
           is_last(link, State::kStopped);
  }));
  if (!is_last(link, State::kStopped)) {
    CHECK(console.number("/out/1/eq/1/db") == doctest::Approx(0.4).epsilon(1e-3));
  }
  float depth = 0.5F;
  for (const auto& [address, number] : console.told()) {
    CHECK(address != "/out/1/level");
    if (address == "/out/1/eq/1/db") {
      CHECK(number <= depth);
      depth = number;
    }
  }
}

TEST_CASE("hostile packets change nothing") {
  UdpConsole console(flat_console());
  io::ConsoleLink link(target_at(console.port()), {});
  REQUIRE(has_read_all(console, link));
  REQUIRE(wait_for([&] { return link.view().fader_db.has_value(); }));
  std::mt19937 random(3);
  const std::string good = tests::osc_bytes("/out/1/level", 0.5F);
  for (int i = 0; i < 400; ++i) {
    std::string bytes = good;
    switch (i % 5) {
      case 0:  // cut short
        bytes.resize(random() % bytes.size());
        break;
      case 1:  // any bytes at all
        bytes.assign(random() % 300, '\0');
        for (char& one : bytes) {
          one = static_cast<char>(random());
        }
        break;
      case 2:  // not a number, infinite, beyond the scale
        bytes = tests::osc_bytes("/out/1/level",
                                 i % 3 == 0   ? std::numeric_limits<float>::quiet_NaN()
                                 : i % 3 == 1 ? std::numeric_limits<float>::infinity()
                                              : 1e9F);
        break;
      case 3:  // types that promise more than there is
        bytes = "/out/1/level\0\0\0\0,ffffffffssbb\0\0\0"s;
        break;
      default:  // a bundle that holds itself too large
        bytes = "#bundle\0\0\0\0\0\0\0\0\1\x7F\xFF\xFF\xFF"s + good;
        break;
    }
    console.say(bytes);
  }
  // What was sent before is read before: after this answer all of it was taken.
  console.set("/out/1/level", 0.75F);
  REQUIRE(wait_for([&] { return std::abs(link.view().fader_db.value_or(-99.0)) < 1e-3; }));
  CHECK(link.view().is_alive);
  CHECK(link.view().reports.empty());
  CHECK(console.told().empty());
}

TEST_CASE("a host without an address is said, with what to do") {
  cuts::LinkedTarget target = target_at(9000);
  target.link.console = "no such host:9000";
  io::ConsoleLink link(target, {});
  REQUIRE(wait_for([&] { return !link.view().trouble.empty(); }));
  CHECK(link.view().trouble.find("console: the host 'no such host' has no address") == 0);
  CHECK(!link.view().is_open);
}

TEST_SUITE_END();
