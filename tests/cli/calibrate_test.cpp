// What `brink calibrate` refuses. What it measures is tested on a real sound server (tests/live).

#include <doctest/doctest.h>

#include "support/files.h"
#include "support/sentence.h"

using brink::tests::check_sentence;

TEST_CASE("calibrate refuses what it cannot use with one sentence") {
  check_sentence({"calibrate", "--level", "20"}, "--level");
  check_sentence({"calibrate", "--level", "nan"}, "--level");
  check_sentence({"calibrate", "--tap", "0"}, "--tap");
  check_sentence({"calibrate", "--response", "no-such-file.txt"},
                 "no-such-file.txt: cannot be read");
  check_sentence({"calibrate", "extra"}, "extra");
}

TEST_CASE("calibrate tells the line of a response file that is wrong") {
  const brink::tests::TemporaryDirectory folder;
  const std::string file = folder / "mic.txt";

  struct Fault {
    const char* text;
    const char* sentence;
  };

  for (const Fault& fault : {Fault{"Hz dB\n20 1.5\n10 0\n", "line 3: the frequencies must rise"},
                             Fault{"20 1.5\n40\n", "line 2: there is no second number"},
                             Fault{"-5 0\n", "line 1: the frequency must be above 0 Hz"},
                             Fault{"20 nan\n", "line 1: "},
                             Fault{"20 99\n", "line 1: the level must be from -60 to 60 dB"},
                             Fault{"", "there is no line with a frequency"}}) {
    CAPTURE(fault.text);
    brink::tests::write_bytes(file, fault.text);
    check_sentence({"calibrate", "--response", file}, fault.sentence);
  }
}
