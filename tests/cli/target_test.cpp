#include <doctest/doctest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "support/files.h"
#include "support/sentence.h"
#include "support/simulated_console.h"
#include "support/udp_console.h"

using namespace brink;
using nlohmann::json;
using tests::check_sentence;
using tests::has;
using tests::Outcome;
using tests::run_brink;

namespace {

std::string replaced(std::string text, const std::string& old, const std::string& fresh) {
  const auto at = text.find(old);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old.size(), fresh);
}

}  // namespace

TEST_CASE("target check tries every line and sends nothing") {
  tests::TemporaryDirectory directory;
  tests::UdpConsole console({});
  const std::string path = directory / "wedge 1.txt";
  tests::write_bytes(
      path, replaced(tests::linked_target_text(), ":9000", ":" + std::to_string(console.port())));
  const Outcome outcome = run_brink({"target", "check", path});
  REQUIRE(outcome.status == 0);
  CHECK(has(outcome.out, "Lantern 24, wedge 1: 4 bands, console at OSC 127.0.0.1:"));
  CHECK(has(outcome.out, "fader              line 9   /out/1/level"));
  CHECK(has(outcome.out, "band 4 depth       line 15  /out/1/eq/4/db"));
  CHECK(has(outcome.out, "Every value of the target has a number. Nothing was sent."));
  const Outcome listed = run_brink({"target", "check", path, "--format", "json"});
  const json answer = json::parse(listed.out);
  CHECK(answer["schema"] == "brink/target/1");
  CHECK(answer["link"]["parts"].size() == 13);
  CHECK(answer["link"]["parts"][0]["place"] == "/out/1/level");
  CHECK(console.asked() == 0);
  CHECK(console.told().empty());
}

TEST_CASE("target check says what is left to the hand, and names the line") {
  tests::TemporaryDirectory directory;
  const std::string path = directory / "coarse.txt";
  // 15 steps of 2 dB, no number for 0 dB (7 is -1 dB, 8 is 1 dB), and frequencies up to 2 kHz only.
  std::string text =
      replaced(tests::linked_target_text(), "linear 0:1 is -15:15", "linear whole 0:15 is -15:15");
  text = replaced(text, "logarithmic 0:1 is 20:20000", "logarithmic 0:1 is 20:2000");
  tests::write_bytes(path, text);
  const Outcome outcome = run_brink({"target", "check", path});
  REQUIRE(outcome.status == 0);
  CHECK(has(outcome.out, "line 16, band 1 depth") ==
        false);  // the line of the place, not the scale
  CHECK(has(outcome.out, "line 15, band 1 depth: 0 dB has no number of its own"));
  CHECK(has(outcome.out, "one number is up to 2.0 dB from the next"));
  CHECK(has(outcome.out, "line 11, band 1 frequency: "));
  CHECK(has(outcome.out, "have no number near: such cuts are set by hand"));
}

TEST_CASE("target check of a file without a link says so, and of a wrong line what is wrong") {
  const Outcome outcome = run_brink({"target", "check", "octave"});
  CHECK(outcome.status == 0);
  CHECK(outcome.out == "octave: 10 bands, no link to a console.\n");
  tests::TemporaryDirectory directory;
  const std::string path = directory / "wrong.txt";
  tests::write_bytes(path, "kind = parametric\nbands = 4\nlink = usb\n");
  check_sentence({"target", "check", path}, "line 3: link must be osc or midi, not 'usb'.");
  check_sentence({"target", "check", directory / "none.txt"}, "is no file");
  check_sentence({"target", "check", "octave", "--listen"}, "has no link to a console");
}

TEST_CASE("target check --listen shows what arrives and sets nothing") {
  tests::TemporaryDirectory directory;
  tests::UdpConsole console({{"/out/1/level", 0.5F}, {"/out/1/eq/2/hz", 0.5F}});
  const std::string path = directory / "wedge 1.txt";
  tests::write_bytes(
      path, replaced(tests::linked_target_text(), ":9000", ":" + std::to_string(console.port())));
  const Outcome outcome = run_brink({"target", "check", path, "--listen", "--seconds", "2"});
  REQUIRE(outcome.status == 0);
  CHECK(has(outcome.out, "0.5          fader -10 dB"));
  // Halfway between 20 Hz and 20 kHz on a logarithmic scale: 632.5 Hz.
  CHECK(has(outcome.out, "0.5          band 2 frequency 632.5 Hz"));
  CHECK(console.asked() > 0);
  CHECK(console.told().empty());
  const Outcome lines =
      run_brink({"target", "check", path, "--listen", "--seconds", "2", "--format", "json"});
  const json first = json::parse(lines.out.substr(0, lines.out.find('\n')));
  CHECK(first["schema"] == "brink/target-heard/1");
}
