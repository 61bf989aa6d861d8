#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>
#include <thread>

#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "io/sound_file.h"
#include "support/files.h"
#include "support/process.h"
#include "support/program.h"

using namespace brink;
using nlohmann::json;
using tests::Process;
using tests::TemporaryDirectory;

namespace {

constexpr double kPatienceS = 60.0;  // only ever spent when something hangs

struct Session {
  int status = -1;
  std::vector<json> guesses;
  std::string err;
};

std::vector<std::string> words_for(const std::string& directory,
                                   const std::vector<std::string>& more) {
  std::vector<std::string> words{
      tests::tested_program(), "ear", "--silent", directory, "--format", "json"};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

/// A silent session with all its guesses given at once.
Session run_session(const TemporaryDirectory& place,
                    const std::string& name,
                    const std::vector<std::string>& more,
                    const std::string& guesses) {
  Session session;
  Process brink(words_for(place / name, more), {place / (name + ".err"), {}});
  REQUIRE(brink.write(guesses));
  brink.close_input();
  while (const auto line = brink.read_line(kPatienceS)) {
    session.guesses.push_back(json::parse(*line));
  }
  session.status = brink.wait(kPatienceS).value_or(-1);
  session.err = tests::read_bytes(place / (name + ".err"));
  return session;
}

std::vector<float> read_sound(const std::string& path) {
  std::vector<float> samples;
  io::SoundReader reader(path);
  while (reader.next_block()) {
    samples.insert(samples.end(), reader.channel(0).begin(), reader.channel(0).end());
  }
  return samples;
}

int line_count(const std::string& text) {
  return static_cast<int>(std::count(text.begin(), text.end(), '\n'));
}

std::string last_line(const std::string& text) {
  std::istringstream lines(text);
  std::string line;
  std::string last;
  while (std::getline(lines, line)) {
    last = line;
  }
  return last;
}

}  // namespace

TEST_CASE("a silent session writes each exercise, reads each guess and keeps it in the book") {
  const TemporaryDirectory place;
  const std::string book = place / "book.sqlite";
  const Session session =
      run_session(place,
                  "class",
                  {"--trainee", "Ada", "--seed", "7", "--count", "3", "--book", book},
                  "2.5k\nA4\n630 Hz\n");
  CAPTURE(session.err);
  CHECK(session.status == 0);
  REQUIRE(session.guesses.size() == 3);
  CHECK(session.guesses[0]["schema"] == "brink/ear/1");
  CHECK(session.guesses[0]["guessed_hz"] == 2500.0);
  CHECK(session.guesses[1]["guessed_hz"] == 440.0);
  CHECK(session.guesses[2]["guessed_hz"] == 630.0);
  CHECK(session.err.find("NIOSH") != std::string::npos);  // the exposure guide is shown
  for (const json& guess : session.guesses) {
    const double cents =
        1200.0 * std::log2(guess["guessed_hz"].get<double>() / guess["true_hz"].get<double>());
    CHECK(std::abs(guess["error_cents"].get<double>() - cents) < 0.2);  // both are rounded
    CHECK(guess["seed"] == 7);
  }
  const auto sound = read_sound(place / "class/exercise-01.wav");
  CHECK(sound.size() > 48000);
  const auto kept = io::BookReader(book).guesses("Ada");
  REQUIRE(kept.size() == 3);
  CHECK(kept[1].guessed_hz == 440.0);
  CHECK(kept[1].exercise == "pure");
  CHECK(std::abs(kept[1].true_hz - session.guesses[1]["true_hz"].get<double>()) < 0.01);
}

TEST_CASE("the same seed gives the same sounds and truths, whatever is guessed") {
  const TemporaryDirectory place;
  const std::vector<std::string> options{"--no-book",
                                         "--seed",
                                         "99",
                                         "--count",
                                         "2",
                                         "--exercise",
                                         "voice,growing",
                                         "--difficulty",
                                         "3"};
  const Session one = run_session(place, "one", options, "1k\n1k\n");
  const Session two = run_session(place, "two", options, "200\n8k\n");
  REQUIRE(one.guesses.size() == 2);
  REQUIRE(two.guesses.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(one.guesses[i]["true_hz"] == two.guesses[i]["true_hz"]);
    CHECK(one.guesses[i]["level"] == 3);
  }
  for (const char* const name : {"/exercise-01.wav", "/exercise-02.wav"}) {
    CHECK(tests::read_bytes(place / (std::string("one") + name)) ==
          tests::read_bytes(place / (std::string("two") + name)));
  }
}

TEST_CASE("two rings want two guesses, s skips, q ends, and notes are answered in semitones") {
  const TemporaryDirectory place;
  const Session two = run_session(place,
                                  "two",
                                  {"--no-book", "--exercise", "two", "--seed", "3", "--count", "5"},
                                  "s\n300\n3k\nq\n");
  CHECK(two.status == 0);
  REQUIRE(two.guesses.size() == 2);
  CHECK(two.guesses[0]["true_hz"] != two.guesses[1]["true_hz"]);
  const Session notes =
      run_session(place, "notes", {"--no-book", "--notes", "--seed", "3", "--count", "1"}, "C5\n");
  REQUIRE(notes.guesses.size() == 1);
  CHECK(notes.guesses[0]["exercise"] == "pure-notes");
  const double semitone = 12.0 * std::log2(notes.guesses[0]["true_hz"].get<double>() / 440.0);
  // The loop is trimmed to the note by whole samples of delay: within 15 cents, mostly within 2.
  CHECK(std::abs(semitone - std::round(semitone)) < 0.15);
}

TEST_CASE("a session that is killed has lost no locked guess") {
  const TemporaryDirectory place;
  const std::string book = place / "book.sqlite";
  Process brink(words_for(place / "class", {"--trainee", "Ada", "--book", book, "--count", "9"}),
                {});
  int locked = 0;
  for (const char* const guess : {"500\n", "1k\n", "2k\n"}) {
    REQUIRE(brink.write(guess));
    REQUIRE(brink.read_line(kPatienceS).has_value());
    ++locked;
  }
  brink.send_signal(SIGKILL);
  CHECK(brink.wait(kPatienceS) == 128 + SIGKILL);
  CHECK(io::BookReader(book).guesses("Ada").size() == static_cast<std::size_t>(locked));
}

// Guesses come faster than anybody locks them; noise is the exercise that is made soonest.
TEST_CASE("a session that is killed at any instant has lost no guess that it told of") {
  const TemporaryDirectory place;
  const std::string book = place / "book.sqlite";
  std::string guesses;
  for (int i = 0; i < 200; ++i) {
    guesses += "1k\n";
  }
  const char* const asked = std::getenv("BRINK_BOOK_KILLS");        // NOLINT(concurrency-mt-unsafe)
  const int kill_count = asked == nullptr ? 15 : std::atoi(asked);  // NOLINT(cert-err34-c)
  std::mt19937 random(20261125);
  std::size_t told = 0;
  int kills_with_something = 0;
  // From the start to the first guess, on this machine as busy as it is now. The kills lie in the
  // first three such spans.
  std::chrono::microseconds to_first{0};
  for (int i = 0; i < kill_count; ++i) {
    CAPTURE(i);
    std::vector<std::string> words{"--trainee", "Ada", "--book", book, "--exercise", "noise"};
    words.insert(words.end(), {"--count", "200"});
    Process brink(words_for(place / ("class-" + std::to_string(i)), words), {});
    const auto start = std::chrono::steady_clock::now();
    const std::size_t before = told;
    REQUIRE(brink.write(guesses));
    if (i == 0) {
      REQUIRE(brink.read_line(kPatienceS).has_value());
      ++told;
      to_first = std::chrono::duration_cast<std::chrono::microseconds>(
          std::chrono::steady_clock::now() - start);
    } else {
      std::this_thread::sleep_for(to_first * (random() % 3000) / 1000);
    }
    brink.send_signal(SIGKILL);
    REQUIRE(brink.wait(kPatienceS) == 128 + SIGKILL);
    while (brink.read_line(kPatienceS)) {
      ++told;
    }
    kills_with_something += told > before ? 1 : 0;
    if (!std::filesystem::exists(book)) {
      CHECK(told == 0);
      continue;
    }
    io::BookReader reader(book);
    CHECK(reader.faults().empty());
    // The last one may be on the disk without having been told.
    const std::size_t kept = reader.guesses("Ada").size();
    CHECK(kept >= told);
    CHECK(kept <= told + static_cast<std::size_t>(i) + 1);
  }
  CHECK(kills_with_something > kill_count / 4);
  MESSAGE(kill_count << " kills, " << kills_with_something << " after something was told, " << told
                     << " guesses");
}

TEST_CASE("what was guessed is exported, and summed by week and third-octave") {
  const TemporaryDirectory place;
  const std::string book = place / "book.sqlite";
  REQUIRE(run_session(place,
                      "one",
                      {"--trainee", "Ada", "--book", book, "--seed", "7", "--count", "3"},
                      "1k\n2k\n3k\n")
              .status == 0);
  const std::vector<std::string> ask{"book", "scores", "--book", book, "--trainee", "Ada"};
  const auto with = [&](const std::vector<std::string>& more) {
    auto arguments = ask;
    arguments.insert(arguments.end(), more.begin(), more.end());
    return tests::run_brink(arguments);
  };
  const tests::Outcome guesses = with({"--format", "csv"});
  CHECK(guesses.status == 0);
  CHECK(line_count(guesses.out) == 4);
  CHECK(guesses.out.find(",Ada,pure,0,7,") != std::string::npos);
  const tests::Outcome weeks = with({"--format", "csv", "--by-week"});
  CHECK(weeks.status == 0);
  CHECK(weeks.out.find("trainee,week,band_hz,guesses,") == 0);
  CHECK(weeks.out.find("\nAda,2") != std::string::npos);
  const tests::Outcome text = with({"--by-week"});
  CHECK(text.status == 2);
  CHECK(text.out.empty());
}

TEST_CASE("the difficulty goes on where the book has it") {
  const TemporaryDirectory place;
  const std::string book = place / "book.sqlite";
  const std::vector<std::string> options{"--trainee", "Ada", "--book", book, "--count", "1"};
  auto first = options;
  first.insert(first.end(), {"--difficulty", "6"});
  REQUIRE(run_session(place, "one", first, "1k\n").status == 0);
  const Session second = run_session(place, "two", options, "1k\n");
  REQUIRE(second.guesses.size() == 1);
  CHECK(second.guesses[0]["level"] == 6);
}

TEST_CASE(
    "a bad guess from a file ends the session with one sentence, and nothing locked is lost") {
  const TemporaryDirectory place;
  const Session session =
      run_session(place, "class", {"--no-book", "--seed", "1"}, "1k\nloud\n2k\n");
  CHECK(session.status == 2);
  CHECK(session.guesses.size() == 1);
  CHECK(last_line(session.err).find("line 2: 'loud' is no frequency") != std::string::npos);
}

TEST_CASE("bad use is refused with one sentence") {
  const TemporaryDirectory place;
  tests::write_bytes(place / "file", "x");
  const auto refused = [](const std::vector<std::string>& arguments, const std::string& part) {
    const tests::Outcome outcome = tests::run_brink(arguments);
    CAPTURE(outcome.err);
    CHECK(outcome.status == 2);
    CHECK(outcome.out.empty());
    CHECK(line_count(outcome.err) == 1);
    CHECK(outcome.err.find(part) != std::string::npos);
  };
  const std::string silent = place / "class";
  refused({"ear", "--no-book", "--silent", silent, "--exercise", "shout"}, "--exercise takes pure");
  refused({"ear", "--no-book", "--silent", silent, "--target", "nothing"}, "nothing");
  refused({"ear", "--no-book", "--silent", silent, "--count", "0"}, "--count");
  refused({"ear", "--no-book", "--silent", silent, "--difficulty", "16"}, "--difficulty");
  refused({"ear", "--no-book", "--silent", silent, "--seed", "x"}, "--seed");
  refused({"ear", "--no-book", "--silent", silent, "--trainee", ""}, "trainee's name");
  refused({"ear", "--no-book", "--silent", place / "file"}, "no directory");
}

TEST_CASE("files that are there already are not written over") {
  const TemporaryDirectory place;
  REQUIRE(run_session(place, "class", {"--no-book", "--count", "1"}, "1k\n").status == 0);
  const std::string before = tests::read_bytes(place / "class/exercise-01.wav");
  const Session again = run_session(place, "class", {"--no-book", "--count", "1"}, "1k\n");
  CHECK(again.status == 2);
  CHECK(last_line(again.err).find("such a file already") != std::string::npos);
  CHECK(tests::read_bytes(place / "class/exercise-01.wav") == before);
}

TEST_CASE("no number in the results has more digits than it is worth") {
  const TemporaryDirectory place;
  const Session session = run_session(
      place, "class", {"--no-book", "--seed", "3", "--count", "6"}, "100\n200\n300\n1k\n3k\n7k\n");
  REQUIRE(session.guesses.size() == 6);
  for (const json& guess : session.guesses) {
    const json flat = guess.flatten();
    for (const auto& [key, value] : flat.items()) {
      const std::string digits = value.dump();
      const auto point = digits.find('.');
      CAPTURE(key);
      CAPTURE(digits);
      CHECK((!value.is_number_float() || point == std::string::npos || digits.size() - point <= 4));
    }
  }
}

TEST_CASE("a guess that could not be kept is told as one") {
  const TemporaryDirectory place;
  const io::Book other(place / "book.sqlite");  // as another program's, which holds it
  const Session session = run_session(
      place, "class", {"--book", place / "book.sqlite", "--seed", "1", "--count", "1"}, "1k\n");
  CHECK(session.status == 2);
  CHECK(last_line(session.err).find("1 guess could not be kept. ") != std::string::npos);
}

TEST_CASE("that nothing can be played is said although the guesses ended before") {
  const TemporaryDirectory place;
  tests::ProcessOptions options{place / "err", {}};
  options.environment = {{"ALSA_CONFIG_PATH", "/dev/null"},
                         {"JACK_NO_START_SERVER", "1"},
                         {"JACK_DEFAULT_SERVER", "brink-has-none"}};
  Process brink({tests::tested_program(), "ear", "--no-book", "--level", "-60"}, options);
  brink.close_input();
  CHECK(!brink.read_line(kPatienceS));
  CHECK(brink.wait(kPatienceS) == 2);
  CHECK(last_line(tests::read_bytes(place / "err")).find("With --silent DIR") != std::string::npos);
}
