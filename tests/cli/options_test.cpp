#include <doctest/doctest.h>
#include <unistd.h>

#include <algorithm>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "support/files.h"
#include "support/sentence.h"
#include "support/sounds.h"

using brink::tests::check_sentence;
using brink::tests::has;
using brink::tests::Outcome;
using brink::tests::read_bytes;
using brink::tests::run_brink;
using brink::tests::RunOptions;
using brink::tests::TemporaryDirectory;
using brink::tests::write_bytes;

namespace {

using Words = std::vector<std::string>;

std::string joined(const Words& words) {
  std::string text;
  for (const std::string& word : words) {
    text += (text.empty() ? "" : " ") + word;
  }
  return text;
}

Outcome check_refused(const Words& words, const std::string& part, const RunOptions& options = {}) {
  Outcome outcome = run_brink(words, options);
  CAPTURE(joined(words));
  check_sentence(outcome, part);
  return outcome;
}

/// The options of a command that take a number with a unit, as its own help lists them.
std::set<std::string> numeric_options(const Words& command) {
  Words words = command;
  words.emplace_back("--help");
  const std::string help = run_brink(words).out;
  const std::regex form(
      "  (--[a-z0-9-]+) "
      "(HZ|S|MS|M|DB|DBFS|DEG|RATIO|DISTANCE|AREA|VOLUME|Q|CENTS|FACTOR)(=\\S+)?[ \\n]");
  std::set<std::string> options;
  for (std::sregex_iterator at(help.begin(), help.end(), form), end; at != end; ++at) {
    options.insert((*at)[1]);
  }
  return options;
}

RunOptions without(int descriptor) {
  RunOptions options;
  options.closed = {descriptor};
  return options;
}

}  // namespace

TEST_CASE("no option takes for a number what is none") {
  struct Command {
    Words words;
    std::size_t options;  // how many of its options are numbers with a unit
  };

  const std::vector<Command> commands{{{"listen"}, 2},
                                      {{"plan"}, 2},
                                      {{"stage", "--ring-out"}, 18},
                                      {{"reach"}, 11},
                                      {{"ear"}, 1},
                                      {{"book", "compare"}, 1}};
  for (const Command& command : commands) {
    CAPTURE(joined(command.words));
    const std::set<std::string> options = numeric_options(command.words);
    CHECK(options.size() == command.options);
    for (const std::string& option : options) {
      for (const char* const value : {"nan", "inf", "-inf", "1e309", "three", ""}) {
        Words words = command.words;
        words.push_back(option + "=" + value);
        if (*value == '\0') {
          words.back() = option;
          words.emplace_back("");
        }
        const Outcome outcome = check_refused(words, option + ": '" + value + "' is no ");
        CHECK(has(outcome.err, "number"));
      }
    }
  }
  // The window's; the program may have been built without it.
  if (run_brink({"panel", "--help"}).status == 0) {
    check_refused({"panel", "--scale", "nan"}, "--scale: 'nan' is no number from 1 to 3;");
  }
}

TEST_CASE("a number out of its range is refused with the range") {
  check_refused({"plan", "--rings", "1000", "--delay", "501"},
                "--delay: '501' is no number from 1 to 500; see 'brink plan --help'.");
  check_refused({"plan", "--rings", "1000", "--sample-rate", "7999"}, "from 8000 to 192000");
  check_refused({"plan", "--rings", "1000", "--cuts", "65"}, "no whole number from 1 to 64");
  check_refused({"plan", "--rings", "1000", "--cuts", "2.5"}, "no whole number from 1 to 64");
  check_refused({"ear", "--level", "1"}, "from -60 to 0");
  check_refused({"ear", "--seed", "-1"}, "--seed: '-1' is no whole number from 0 to 184467");
  check_refused({"ear", "--seed", "12345678901234567890123"}, "--seed");
  check_refused({"stage", "--seed", "-1"}, "--seed: '-1' is no whole number from 0 to 184467");
  check_refused({"stage", "--seed", "12345678901234567890123"}, "--seed");
  check_refused({"stage", "--gain", "nan:0"}, "--gain takes two gains");
  check_refused({"stage", "--cut", "1000,inf,-6"}, "--cut takes frequency");
  check_refused({"reach", "--open-microphones", "2.5"}, "no whole number from 1 to 64");
  CHECK(run_brink({"plan", "--rings", "1000", "--delay", "+3e1"}).status == 0);
}

TEST_CASE("a command that is none is refused, whatever stands behind it") {
  check_refused({"swep"}, "there is no command 'swep'; 'brink --help' lists them.");
  check_refused({"swep", "--help"}, "there is no command 'swep'");
  check_refused({"book", "lst", "--help"},
                "there is no command 'lst'; 'brink book --help' lists them.");
}

TEST_CASE("help has examples, and a full disk does not go unsaid") {
  const Outcome help = run_brink({"--help"});
  CHECK(help.status == 0);
  CHECK(has(help.out, "Examples:\n  brink\n"));
  CHECK(run_brink({"--version"}).out.rfind("brink ", 0) == 0);
  RunOptions full;
  full.out_path = "/dev/full";
  check_refused({"--help"}, "No space left", full);
  check_refused({"plan", "--help"}, "No space left", full);
}

TEST_CASE("an option given twice, or with nothing behind it, is refused in plain words") {
  check_refused({"analyse", "a.wav", "--format", "json", "--format", "csv"},
                "--format: is given more often than it can be taken; see 'brink analyse --help'.");
  check_refused({"analyse", "a.wav", "--format"}, "--format: there is nothing behind it;");
}

TEST_CASE("an empty name is refused") {
  for (const Words& words :
       std::vector<Words>{{"analyse", ""},
                          {"analyse", "a.wav", "--output", ""},
                          {"book", "export", "--output", ""},
                          {"book", "list", "--book", ""},
                          {"book", "merge", "a", "--venue", "", "--show", "b"},
                          {"book", "merge", "a", "--venue", "a", "--show", " "},
                          {"plan", ""},
                          {"listen", "--record", ""},
                          {"ear", "--silent", ""},
                          {"stage", "--output", ""}}) {
    check_refused(words, ": it is empty; write what it should be; see");
  }
}

TEST_CASE("a stream that is closed is not taken for a file of the program's own") {
  const RunOptions no_input = without(STDIN_FILENO);
  const RunOptions no_output = without(STDOUT_FILENO);
  check_refused({"listen", "--stdin", "--rate", "48000"}, "stdin is closed", no_input);
  check_refused({"plan", "-"}, "standard input: cannot be read (it is closed).", no_input);
  check_refused({"plan", "--rings", "1000"}, "stdout is closed", no_output);
  check_refused({"--help"}, "stdout is closed", no_output);
  check_refused({"listen", "--stdin", "--rate", "48000"}, "stdout is closed", no_output);
  // Nobody to tell; it still works and ends.
  const RunOptions no_errors = without(STDERR_FILENO);
  CHECK(run_brink({"plan", "--rings", "1000"}, no_errors).status == 0);
}

TEST_CASE("no output takes the place of a recording") {
  const TemporaryDirectory dir;
  const std::string take = dir / "take.svg";  // what it is counts, not what it is called
  const std::string sound = read_bytes(BRINK_TEST_SIGNALS "/wedge.flac");
  write_bytes(take, sound);
  check_refused({"plan", "--rings", "1000", "--plot", take}, "is a recording");
  check_refused({"analyse", BRINK_TEST_SIGNALS "/wedge.flac", "--output", take}, "is a recording");
  CHECK(read_bytes(take) == sound);
  const std::string clip = dir / "take.flac";
  write_bytes(clip, sound);
  check_refused({"stage", "--length", "0.1", "--output", clip}, "is a recording");
  CHECK(read_bytes(clip) == sound);
  // A clip of its own is made anew.
  const std::string own = dir / "own.flac";
  CHECK(run_brink({"stage", "--length", "0.1", "--output", own}).status == 0);
  CHECK(run_brink({"stage", "--length", "0.1", "--output", own}).status == 0);
  check_refused({"plan", "--rings", "1000", "--plot", dir / "take.flac"}, "end in .svg");
}
