// The program itself on a system that refuses: what it says, and what is left.

#include "support/program.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <filesystem>
#include <map>
#include <regex>
#include <string>
#include <vector>

#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "report/book/book_json.h"
#include "support/book_samples.h"
#include "support/files.h"
#include "support/sentence.h"
#include "support/sounds.h"

using namespace brink;
using tests::check_sentence;
using tests::Outcome;
using tests::read_bytes;
namespace fs = std::filesystem;

namespace {

using Words = std::vector<std::string>;

/// Runs brink with the library of support/faults before it.
class Refusing {
 public:
  explicit Refusing(const std::string& fault) {
    options.environment = {
        {"LD_PRELOAD", FAULT_LIBRARY}, {"BRINK_FAULT", fault}, {"BRINK_FAULT_MET", met_}};
  }

  [[nodiscard]] Outcome run(const Words& words) const { return tests::run_brink(words, options); }

  [[nodiscard]] bool was_met() const { return fs::exists(met_); }

  tests::RunOptions options;

 private:
  tests::TemporaryDirectory directory_;
  std::string met_ = directory_ / "met";
};

/// A book, what can be taken into it, and a recording.
class Bench {
 public:
  Bench() {
    io::Book writer(book);
    REQUIRE(writer.wait_for(writer.keep(tests::sample_show(1)), 30.0));
    tests::write_bytes(export_path, report::show_json(tests::sample_show(2)));
    const Outcome analysis = tests::run_brink({"analyse", recording, "--format", "json"});
    REQUIRE(analysis.status == 0);
    tests::write_bytes(analysis_path, analysis.out);
    std::string bytes;
    for (const float sample : tests::RingSound{}.samples()) {
      const auto number = static_cast<std::int16_t>(std::lround(sample * 32767.0F));
      bytes += static_cast<char>(number & 0xFF);
      bytes += static_cast<char>(number >> 8);
    }
    tests::write_bytes(raw, bytes);
  }

  tests::TemporaryDirectory directory;
  std::string book = directory / "book.sqlite";
  std::string export_path = directory / "show.jsonl";
  std::string analysis_path = directory / "rings.jsonl";
  std::string raw = directory / "ring.s16";  ///< a ring in 16 bits, as a pipe brings it
  std::string recording = BRINK_TEST_SIGNALS "/wedge.flac";
};

std::map<std::string, std::string> contents(const std::string& folder) {
  std::map<std::string, std::string> all;
  for (const auto& entry : fs::directory_iterator(folder)) {
    all[entry.path().string()] = read_bytes(entry.path().string());
  }
  return all;
}

/// The outcome does not change under the fault.
void check_same(const Words& words, const std::string& fault, const std::string& in_path = "") {
  CAPTURE(words.front());
  CAPTURE(fault);
  tests::RunOptions plain;
  plain.in_path = in_path;
  Refusing refusing(fault);
  refusing.options.in_path = in_path;
  const auto untimed = [](const std::string& text) {  // each event says when it was told
    return std::regex_replace(text, std::regex(R"("wall":"[^"]*")"), "");
  };
  const Outcome expected = tests::run_brink(words, plain);
  const Outcome met = refusing.run(words);
  CHECK(refusing.was_met());
  CHECK(met.status == expected.status);
  CHECK(met.err == expected.err);
  CHECK(untimed(met.out) == untimed(expected.out));
  CHECK(expected.status == 0);
}

}  // namespace

TEST_CASE("short and interrupted reads change nothing") {
  const Bench bench;
  const char* const fault = "short:1000";
  check_same({"analyse", bench.recording, "--format", "json"}, fault);
  check_same({"plan", bench.analysis_path, "--format", "json"}, fault);
  check_same({"book", "list", "--book", bench.book, "--format", "json"}, fault);
  check_same({"book", "export", "--book", bench.book}, fault);
  check_same({"listen", "--stdin", "--rate", "48000", "--sample-format", "s16"}, fault, bench.raw);
}

TEST_CASE("a clock that jumps an hour back and forth changes only the times that are told") {
  const Bench bench;
  check_same(
      {"listen", "--stdin", "--rate", "48000", "--sample-format", "s16"}, "clock:3600", bench.raw);
}

TEST_CASE("a disk that refuses any write of an output leaves the old one, and it is said") {
  const Bench bench;
  const std::string place = bench.directory / "place";
  const std::string out = place + "/out";
  const Words commands[] = {
      {"book", "export", "--format", "csv", "--book", bench.book, "--output", out + ".csv"},
      {"book", "sheet", "--book", bench.book, "--output", out + ".html"},
      {"analyse", bench.recording, "--quiet", "--format", "csv", "--output", out + ".csv"},
      {"analyse", bench.recording, "--quiet", "--format", "json", "--output", out + ".json"},
      {"plan", "--rings", "1000", "--plot", out + ".svg"},
      {"stage", "--length", "0.1", "--output", out + ".wav"},
      {"stage", "--length", "0.1", "--output", out + ".flac"},
      {"sweep", "--from-stage", "--length", "1", "--decay", "0.5", "--response", out + ".csv"}};
  for (const Words& command : commands) {
    CAPTURE(command[0] + " " + command[1] + " " + command.back());
    fs::create_directory(place);
    REQUIRE(tests::run_brink(command).status == 0);
    const auto old = contents(place);
    for (const std::string kind : {"full:", "broken:"}) {
      for (long write = 1;; ++write) {
        CAPTURE(write);
        const Refusing refusing(kind + std::to_string(write));
        const Outcome outcome = refusing.run(command);
        if (!refusing.was_met()) {
          CHECK(outcome.status == 0);
          break;
        }
        // What SQLite wants to note for itself while a book is read is not the output's matter.
        if (outcome.status != 0) {
          check_sentence(outcome, "");
        }
        CHECK(contents(place) == old);
      }
    }
    fs::remove_all(place);
  }
}

TEST_CASE(
    "what is brought into a book on a disk that refuses any write comes whole or not at all") {
  const Bench bench;
  const std::string first = read_bytes(bench.book);
  const std::string path = bench.directory / "other.sqlite";
  const Words commands[] = {{"book", "import", bench.export_path, "--book", path},
                            {"book",
                             "merge",
                             bench.analysis_path,
                             "--venue",
                             "Larkfield Hall",
                             "--show",
                             "evening",
                             "--book",
                             path},
                            {"book", "delete", tests::sample_show(1).key, "--yes", "--book", path}};
  for (const Words& command : commands) {
    CAPTURE(command[1]);
    std::size_t shows_after = 0;
    for (const std::string kind : {"none:", "full:", "broken:"}) {
      for (long write = 1;; ++write) {
        CAPTURE(kind);
        CAPTURE(write);
        for (const char* const end : {"-wal", "-shm", ".lock"}) {
          fs::remove(path + end);
        }
        tests::write_bytes(path, first);
        const Refusing refusing(kind + std::to_string(write));
        const Outcome outcome = refusing.run(command);
        if (outcome.status != 0) {
          check_sentence(outcome, "other.sqlite: ");
        }
        io::BookReader reader(path);
        CHECK(reader.faults().empty());
        if (kind == "none:") {
          CHECK(outcome.status == 0);
          shows_after = reader.shows().size();
          CHECK(shows_after != 1);
        } else {
          CHECK(reader.shows().size() == (outcome.status == 0 ? shows_after : 1U));
        }
        if (!refusing.was_met()) {
          break;
        }
      }
    }
  }
}

TEST_CASE("a program that gets no memory somewhere says so, and ends") {
  // Not every request: a start has thousands. The first ones come before main(), where nobody can
  // catch what is thrown. 97 has no factor in common with what repeats.
  constexpr long kBeforeMain = 400;
  for (long request = kBeforeMain;; request += 97) {
    CAPTURE(request);
    const Refusing refusing("memory:" + std::to_string(request));
    const Outcome outcome = refusing.run({"plan", "--rings", "1000,2631"});
    if (!refusing.was_met()) {
      CHECK(outcome.status == 0);
      CHECK(request > 1000);
      break;
    }
    if (outcome.status != 0) {
      check_sentence(outcome, "not enough memory");
    }
  }
}
