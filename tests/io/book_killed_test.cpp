#include <doctest/doctest.h>

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <map>
#include <random>
#include <sstream>
#include <string>
#include <thread>

#include "io/book/book_reader.h"
#include "support/files.h"
#include "support/process.h"

using brink::io::BookReader;
using brink::tests::Process;
using brink::tests::TemporaryDirectory;

namespace {

constexpr double kPatienceS = 20.0;

/// The long form: BRINK_BOOK_KILLS=300.
int kill_count() {
  const char* const asked = std::getenv("BRINK_BOOK_KILLS");  // NOLINT(concurrency-mt-unsafe)
  return asked == nullptr ? 40 : std::atoi(asked);            // NOLINT(cert-err34-c)
}

/// The program that is killed: this build's, or another system's with what starts it.
std::string stream_program() {
  const char* const other = std::getenv("BRINK_TESTED_STREAM");  // NOLINT(concurrency-mt-unsafe)
  return other == nullptr ? BOOK_STREAM : other;
}

/// What it said was kept before it was killed: the highest state of each show.
std::map<std::string, int> told_until_killed(const std::string& path,
                                             std::chrono::microseconds instant) {
  Process keeper({stream_program(), path});
  std::this_thread::sleep_for(instant);
  keeper.send_signal(SIGKILL);
  REQUIRE(keeper.wait(kPatienceS) == 128 + SIGKILL);
  std::map<std::string, int> told;
  while (const auto line = keeper.read_line(kPatienceS)) {
    std::istringstream words(*line);
    std::string key;
    int count = 0;
    words >> key >> count;
    told[key] = std::max(told[key], count);
  }
  return told;
}

/// How long it takes to say for the first time that something is kept: as long as the machine needs
/// today.
std::chrono::microseconds until_first_told() {
  const TemporaryDirectory directory;
  const auto begun = std::chrono::steady_clock::now();
  Process keeper({stream_program(), directory / "book.sqlite"});
  REQUIRE(keeper.read_line(kPatienceS));
  return std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() -
                                                               begun);
}

}  // namespace

TEST_CASE("nothing that was said to be kept is lost when the program is killed at any instant") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  std::mt19937 random(20261125);
  int kills_with_something = 0;
  std::map<std::string, int> all;
  const auto longest = 3 * until_first_told();
  for (int i = 0; i < kill_count(); ++i) {
    CAPTURE(i);
    // From before the file is there, over opening it, into the stream of transactions.
    const std::chrono::microseconds instant(static_cast<std::int64_t>(random()) % longest.count());
    const auto told = told_until_killed(path, instant);
    kills_with_something += told.empty() ? 0 : 1;
    all.insert(told.begin(), told.end());
    BookReader reader(path);
    CHECK(reader.faults().empty());
    for (const auto& [key, count] : told) {
      CAPTURE(key);
      const auto show = reader.show(key);
      REQUIRE(show);
      CHECK(std::stoi(show->note) >= count);
      // The whole state, not a mixture: its note says how many rounds each output has.
      const std::size_t round_count = 1 + std::stoul(show->note) / 3 % 7;
      for (const auto& output : show->outputs) {
        CHECK(output.rounds.size() == round_count);
      }
    }
  }
  // And at the end everything that any of them had told is still there.
  BookReader reader(path);
  for (const auto& [key, count] : all) {
    const auto show = reader.show(key);
    REQUIRE(show);
    CHECK(std::stoi(show->note) >= count);
  }
  // Otherwise nothing was tested.
  CHECK(kills_with_something > kill_count() / 4);
  MESSAGE(kill_count() << " kills, " << kills_with_something << " after something was kept, "
                       << all.size() << " shows");
}
