#include <doctest/doctest.h>

#include <string>

#include "base/error.h"
#include "cuts/link/linked_target.h"
#include "support/simulated_console.h"

using namespace brink;
using namespace brink::cuts;

namespace {

const std::string kMidi =
    "kind = parametric\n"
    "bands = 2\n"
    "link = midi\n"
    "console = Lantern\n"
    "fader = channel 1 controller 7 fine 39\n"
    "fader_scale = linear whole 0:16383 is -90:10\n"
    "band_frequency = channel 1 controller <20+3>\n"
    "band_frequency_scale = logarithmic whole 0:127 is 20:20000\n"
    "band_q = channel 1 controller <21+3>\n"
    "band_q_scale = logarithmic whole 0:127 is 0.3:20\n"
    "band_depth = channel 2 controller 22, channel 3 controller 22\n"
    "band_depth_scale = table whole 0:-15 64:0 127:15\n";

std::string complaint(const std::string& text) {
  try {
    (void)parse_target(text, "hall.txt");
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

/// A text with one piece of it replaced.
std::string with(std::string text, const std::string& old, const std::string& fresh) {
  const auto at = text.find(old);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old.size(), fresh);
}

}  // namespace

TEST_CASE("a target says how each band and the fader are reached by Open Sound Control") {
  const Link link = tests::linked_target().link;
  CHECK(link.console == "127.0.0.1:9000");
  CHECK(link.answers == Link::Answers::kAsked);
  CHECK(link.fader->address == "/out/1/level");
  CHECK(*link.fader->scale.value_of(0.5) == -10.0);
  REQUIRE(link.bands.size() == 4);
  CHECK(link.bands[0].frequency->address == "/out/1/eq/1/hz");
  CHECK(link.bands[3].depth->address == "/out/1/eq/4/db");
  CHECK(*link.bands[3].q->scale.value_of(1.0) == doctest::Approx(0.3));
  CHECK(parts(link).size() == 13);
  CHECK(to_words(parts(link).back()) == "band 4 depth");
}

TEST_CASE("a target says how each band and the fader are reached by MIDI") {
  const Link link = tests::linked_target(kMidi).link;
  CHECK(link.answers == Link::Answers::kNever);
  CHECK(to_words(*link.fader) == "channel 1 controller 7 fine 39");
  CHECK(to_words(*link.bands[1].frequency) == "channel 1 controller 23");
  CHECK(to_words(*link.bands[1].depth) == "channel 3 controller 22");
  CHECK(link.bands[0].depth->scale.number_of(0.0) == 64.0);
}

TEST_CASE("the first band's number says how the others are counted and written") {
  const std::string text = tests::linked_target_text();
  const auto third = [&](const std::string& pattern) {
    return tests::linked_target(with(text, "band_q = /out/1/eq/<1>/q", "band_q = " + pattern))
        .link.bands[2]
        .q->address;
  };
  CHECK(third("/q/<0>") == "/q/2");
  CHECK(third("/q/<01>") == "/q/03");
  CHECK(third("/q/<10+5>/x") == "/q/20/x");
  CHECK(third("/a, /b, /c, /d") == "/c");
}

TEST_CASE("a target without a link has none") {
  CHECK(!linked_target(parse_target("kind = parametric\nbands = 1\n", "hall.txt")));
  CHECK(!linked_target(*find_target("octave")));
}

TEST_CASE("a graphic has depths alone") {
  const Link link = tests::linked_target(
                        "kind = graphic\n"
                        "spacing = octave\n"
                        "link = osc\n"
                        "console = desk.local:9000\n"
                        "answers = told\n"
                        "reply_port = 9001\n"
                        "keep_alive = /hello\n"
                        "keep_alive_s = 2\n"
                        "band_depth = /geq/<01>\n"
                        "band_depth_scale = linear 0:1 is -12:12\n")
                        .link;
  CHECK(link.bands.size() == 10);
  CHECK(!link.bands[0].frequency);
  CHECK(link.bands[9].depth->address == "/geq/10");
  CHECK(link.keep_alive_s == 2.0);
  CHECK(!link.fader);
}

TEST_CASE("a line of a link that cannot be is refused, with the line and what to do") {
  const std::string osc = tests::linked_target_text();

  struct Case {
    std::string text;
    std::string says;
  };

  const std::string depth = "band_depth_scale = linear 0:1 is -15:15";
  const Case cases[]{
      {with(osc, "link = osc", "link = usb"),
       "hall.txt, line 7: link must be osc or midi, not 'usb'."},
      {with(osc, ":9000", ""),
       "hall.txt, line 8: console needs HOST:PORT with a port from 1 to 65535, not '127.0.0.1'."},
      {with(osc, "fader_scale = table 0:-90 0.25:-30 0.5:-10 0.75:0 1:10\n", ""),
       "hall.txt, line 9: fader needs fader_scale, which says what the console's numbers stand "
       "for."},
      {with(osc, depth, "band_depth_scale = linear 0:1"),
       "hall.txt, line 16: band_depth_scale needs 'linear 0:1 is -60:10', 'logarithmic 0:1 is "
       "20:20000' or 'table 0:-90 0.5:-10 1:10', not 'linear 0:1'."},
      {with(osc, depth, "band_depth_scale = logarithmic 0:1 is -15:15"),
       "hall.txt, line 16: band_depth_scale is logarithmic, so its values must be above 0; dB are "
       "linear."},
      {with(osc, depth, "band_depth_scale = table 0:0 0:1 1:2"),
       "hall.txt, line 16: band_depth_scale needs the console's numbers, those before the colon, "
       "in rising order."},
      {with(osc, depth, "band_depth_scale = table 0:0 1:1 2:0"),
       "hall.txt, line 16: band_depth_scale needs values that rise throughout, or fall "
       "throughout."},
      {with(osc, depth, "band_depth_scale = linear whole 0:1.5 is -15:15"),
       "hall.txt, line 16: band_depth_scale is whole, but 1.5 is no whole number."},
      {with(osc, "/out/1/eq/<1>/db", "/out/*/eq/<1>/db"),
       "hall.txt, line 15: band_depth needs an address that begins with a slash and has neither "
       "blanks nor any of #*,?[]{}, not '/out/*/eq/1/db'."},
      {with(osc, "/out/1/eq/<1>/db", "/a, /b"),
       "hall.txt, line 15: band_depth needs one place with the first band's number between angle "
       "brackets, as in <1>, or 4 places with commas between, one for each band."},
      {with(osc, "/out/1/eq/<1>/db", "/out/<x>"),
       "hall.txt, line 15: band_depth needs the first band's number between angle brackets, as in "
       "<1> or <20+3>, not '/out/<x>'."},
      {with(osc, "band_q = /out/1/eq/<1>/q\nband_q_scale = logarithmic 0:1 is 20:0.3\n", ""),
       "hall.txt, line 13: band_depth needs band_frequency, band_q and band_depth together."},
      {with(kMidi, "console = Lantern", "console = Lantern\nanswers = asked"),
       "hall.txt, line 5: answers must be told or never: a MIDI controller cannot be asked."},
      {with(kMidi, "channel 3 controller 22", "channel 17 controller 22"),
       "hall.txt, line 11: band_depth needs a channel from 1 to 16, not '17'."},
      {with(kMidi, "channel 3 controller 22", "channel 3 controller 123"),
       "hall.txt, line 11: band_depth needs a controller from 1 to 119, not '123'."},
      {with(kMidi, "table whole 0:-15 64:0 127:15", "linear 0:1 is -15:15"),
       "hall.txt, line 12: band_depth_scale needs whole"},
      {"kind = parametric\nbands = 1\nlink = osc\nconsole = a:1\n",
       "hall.txt, line 3: link needs a fader or bands: the fields fader, band_depth and their "
       "like."},
      {"kind = parametric\nbands = 1\nband_depth = /a\n",
       "hall.txt, line 3: band_depth is no field of a parametric target."},
  };
  for (const Case& one : cases) {
    CAPTURE(one.says);
    if (one.says.find("needs whole") != std::string::npos) {
      CHECK(complaint(one.text).find("needs a scale of whole numbers within 0:127") !=
            std::string::npos);
    } else {
      CHECK(complaint(one.text) == one.says);
    }
  }
}

TEST_CASE("no band's number can be the fader's") {
  CHECK(complaint(
            with(tests::linked_target_text(), "/out/1/eq/<1>/db", "/a, /b, /out/1/level, /d")) ==
        "hall.txt, line 7: link says /out/1/level for fader and for band 3 depth; each needs its "
        "own.");
  CHECK(complaint(with(kMidi, "channel 3 controller 22", "channel 1 controller 39")) ==
        "hall.txt, line 3: link says channel 1 controller 39 for fader and for band 2 depth; each "
        "needs its own.");
  CHECK(complaint(with(tests::linked_target_text(),
                       "console = 127.0.0.1:9000\n",
                       "console = 127.0.0.1:9000\nkeep_alive = /out/1/level\n")) ==
        "hall.txt, line 7: link says /out/1/level for keep_alive and for fader; each needs its "
        "own.");
}
