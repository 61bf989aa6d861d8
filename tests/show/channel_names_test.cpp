#include "show/channel_names.h"

#include <doctest/doctest.h>

#include "base/error.h"

using brink::base::Error;
using brink::show::ChannelNames;

TEST_CASE("names of channels are read, and written as they are read") {
  const std::string text = "3 vocal left\n5\n17 output wedge 1\n";
  const ChannelNames names =
      ChannelNames::parse("# a small console\n\n  3   vocal left \r\n17 output wedge 1\n5\n", "x");
  CHECK(names.text() == text);
  CHECK(names.words(3) == "channel 3 (vocal left)");
  CHECK(names.words(5) == "channel 5");
  CHECK(names.words(17) == "channel 17 (wedge 1)");
  CHECK(names.outputs() == std::vector{17});
  CHECK(ChannelNames::parse(text, "x") == names);
}

TEST_CASE("names that cannot be are refused with their line") {
  for (const char* text : {"vocal", "0 vocal", "65 vocal", "1.5 vocal", "1 a\n1 b", "-1 a"}) {
    CHECK_THROWS_AS((void)ChannelNames::parse(text, "names.txt"), Error);
  }
  try {
    (void)ChannelNames::parse("1 a\nvocal b\n", "names.txt");
  } catch (const Error& error) {
    CHECK(std::string(error.what()).find("names.txt, line 2") == 0);
  }
}

TEST_CASE("one channel is described as behind its number in the file") {
  ChannelNames names = ChannelNames::parse("3 vocal left\n17 output wedge 1\n", "x");
  names.describe(4, "  snare ");
  names.describe(17, "output wedge 2");
  names.describe(3, "");
  CHECK(names.text() == "4 snare\n17 output wedge 2\n");
  CHECK(names.description(17) == "output wedge 2");
  CHECK(names.description(3).empty());
  names.describe(5, "output");
  CHECK(names.description(5) == "output");
  CHECK(names.outputs() == std::vector{5, 17});
  CHECK_THROWS_AS(names.describe(6, std::string(61, 'a')), Error);
  CHECK(names.description(6).empty());
}

TEST_CASE("a recorder's name is taken where there is none, and cut where it is long") {
  ChannelNames names = ChannelNames::parse("3 vocal left\n", "x");
  names.suggest(3, "Track 3");
  names.suggest(4, " Track 4\n");
  names.suggest(5, "");
  names.suggest(6, std::string(59, 'a') + "\u00E9");  // its second byte would be the 61st
  CHECK(names.name(3) == "vocal left");
  CHECK(names.name(4).rfind("Track 4", 0) == 0);
  CHECK(names.name(5).empty());
  CHECK(names.name(6) == std::string(59, 'a'));
}

TEST_CASE("a tap that is dead or a copy is told in words") {
  const ChannelNames names = ChannelNames::parse("3 vocal left\n", "x");
  CHECK(brink::show::tap_fault_words(3, names, true, false, 0) ==
        "channel 3 (vocal left) is dead: nothing but zeros");
  CHECK(brink::show::tap_fault_words(4, names, false, true, 3) ==
        "channel 4 carries the same sound as channel 3 (vocal left)");
  CHECK(brink::show::tap_fault_words(4, names, false, true, 0) == "channel 4 is clipped");
  CHECK(brink::show::tap_fault_words(4, names, false, false, 0).empty());
}
