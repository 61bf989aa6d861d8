#include "io/book/book.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <thread>
#include <vector>

#include "base/time_of_day.h"
#include "io/book/book_reader.h"
#include "report/book/book_merge.h"
#include "support/book_samples.h"
#include "support/files.h"
#include "support/process.h"
#include "support/program.h"
#include "support/sentence.h"

using brink::io::BookAction;
using brink::io::BookReader;
using brink::show::ShowRecord;
using brink::tests::has;
using brink::tests::Outcome;
using brink::tests::Process;
using brink::tests::run_brink;
using brink::tests::sample_guess;
using brink::tests::sample_show;
using brink::tests::TemporaryDirectory;
using nlohmann::json;

namespace {

constexpr double kPatienceS = 20.0;

/// A book of its own, and `brink book` on it.
class Shelf {
 public:
  Shelf() {
    // Two visits of one hall, a year apart.
    ShowRecord first = sample_show(1, 2, 3);
    ShowRecord second = sample_show(2, 2, 3);
    first.venue = second.venue = "Larkfield Hall";
    first.started_at = "2025-05-01T19:02:11.400+02:00";
    second.started_at = "2026-05-01T19:02:11.400+02:00";
    second.outputs[0].rounds[0].ring.frequency_hz = first.outputs[0].rounds[0].ring.frequency_hz;
    ShowRecord third = sample_show(3, 1, 2);
    third.venue = "Alter Speicher";
    action_.shows = {first, second, third};
    action_.guesses = {sample_guess(1), sample_guess(2)};
    brink::io::Book book(path());
    REQUIRE(book.wait_for(book.keep(action_), kPatienceS));
  }

  [[nodiscard]] std::string path() const { return directory_ / "book.sqlite"; }

  [[nodiscard]] std::string operator/(const std::string& name) const { return directory_ / name; }

  [[nodiscard]] const std::vector<ShowRecord>& shows() const { return action_.shows; }

  [[nodiscard]] Outcome run(std::vector<std::string> words) const {
    words.insert(words.begin(), "book");
    words.insert(words.end(), {"--book", path()});
    return run_brink(words);
  }

  void check_sentence(const std::vector<std::string>& words, const std::string& part) const {
    brink::tests::check_sentence(run(words), part);
  }

 private:
  TemporaryDirectory directory_;
  BookAction action_;
};

}  // namespace

TEST_CASE("book list has the shows, newest first, of one venue or with some words") {
  const Shelf shelf;
  const Outcome all = shelf.run({"list"});
  REQUIRE(all.status == 0);
  CHECK(std::count(all.out.begin(), all.out.end(), '\n') == 3);
  CHECK(has(all.out, "2026-05-01 19:02  Larkfield Hall"));
  CHECK(all.out.find("2026-05-01") < all.out.find("2025-05-01"));
  const Outcome venue = shelf.run({"list", "--venue", "LARK", "--format", "json"});
  CAPTURE(venue.err);
  REQUIRE(venue.status == 0);
  CHECK(std::count(venue.out.begin(), venue.out.end(), '\n') == 2);
  const json line = json::parse(venue.out.substr(0, venue.out.find('\n')));
  CHECK(line["schema"] == "brink/book-list/1");
  CHECK(line["key"] == shelf.shows()[1].key);
  CHECK(line["rounds"] == 7);  // three in each output, and a sweep
  const Outcome found = shelf.run({"list", "--search", "evening 3", "--format", "csv"});
  CHECK(std::count(found.out.begin(), found.out.end(), '\n') == 2);
  const Outcome none = shelf.run({"list", "--search", "submarine"});
  CHECK(none.status == 0);
  CHECK(none.out.empty());
  CHECK(has(none.err, "no show has all of these words"));
}

TEST_CASE("book show has all of one, by a few digits of its key") {
  const Shelf shelf;
  const ShowRecord& show = shelf.shows()[1];
  const Outcome text = shelf.run({"show", "last"});
  REQUIRE(text.status == 0);
  CHECK(has(text.out, "Larkfield Hall, Evening 2, 2026-05-01 19:02"));
  CHECK(has(text.out, "wedge 1"));
  CHECK(has(text.out, "bring the long ladder"));
  CHECK(has(text.out, "hum"));
  const Outcome same = shelf.run({"show", show.key.substr(0, 8)});
  CHECK(same.out == text.out);
  const Outcome line = shelf.run({"show", show.key, "--format", "json"});
  CHECK(json::parse(line.out)["key"] == show.key);
}

TEST_CASE("book compare has two visits, however they are named") {
  const Shelf shelf;
  const auto& shows = shelf.shows();
  const Outcome text = shelf.run({"compare"});
  REQUIRE(text.status == 0);
  CHECK(has(text.out, "before  2025-05-01 19:02  Larkfield Hall"));
  CHECK(has(text.out, "now     2026-05-01 19:02  Larkfield Hall"));
  CHECK(has(text.out, "within 100 cents"));
  CHECK(has(text.out, "rang again"));
  CHECK(shelf.run({"compare", "--venue", "larkfield hall"}).out == text.out);
  CHECK(shelf.run({"compare", shows[1].key}).out == text.out);
  CHECK(shelf.run({"compare", shows[1].key, shows[0].key}).out == text.out);
  const Outcome line = shelf.run({"compare", "--within", "1", "--format", "json"});
  const json compared = json::parse(line.out);
  CHECK(compared["schema"] == "brink/book-compare/1");
  CHECK(compared["tolerance_cents"] == 1.0);
  CHECK(compared["outputs"][0]["again"].size() == 1);
  CHECK(compared["outputs"][0]["again"][0]["apart_cents"] == 0.0);
}

TEST_CASE("what book export and scores write, import takes back once") {
  const Shelf shelf;
  const std::string file = shelf / "shows.json";
  const std::string scores = shelf / "scores.json";
  REQUIRE(shelf.run({"export", "--output", file}).status == 0);
  REQUIRE(shelf.run({"scores", "--format", "json", "--output", scores}).status == 0);
  const std::string other = shelf / "other.sqlite";
  const Outcome first = run_brink({"book", "import", file, scores, "--book", other});
  CHECK(first.status == 0);
  CHECK(has(first.err, "5 new, 0 already there."));
  const Outcome second = run_brink({"book", "import", file, scores, "--book", other});
  CHECK(second.status == 0);
  CHECK(has(second.err, "0 new, 5 already there."));
  CHECK(run_brink({"book", "export", "--book", other}).out == brink::tests::read_bytes(file));
  BookReader reader(other);
  CHECK(reader.shows() == BookReader(shelf.path()).shows());
  CHECK(reader.guesses().size() == 2);

  json changed =
      json::parse(run_brink({"book", "show", "last", "--format", "json", "--book", other}).out);
  changed["note"] = "changed";
  brink::tests::write_bytes(file, changed.dump());
  const Outcome left = run_brink({"book", "import", file, "--book", other});
  CHECK(has(left.err, "left as they are"));
  CHECK(reader.show(changed["key"])->note == "bring the long ladder");
  const Outcome replaced = run_brink({"book", "import", "--replace", file, "--book", other});
  CHECK(has(replaced.err, "0 new, 0 already there, 1 replaced."));
  CHECK(reader.show(changed["key"])->note == "changed");
}

TEST_CASE("book export writes CSV, and only the shows that are named") {
  const Shelf shelf;
  const Outcome csv = shelf.run({"export", "last", "--format", "csv"});
  REQUIRE(csv.status == 0);
  CHECK(csv.out.substr(0, 9) == "key,venue");
  // A head, 6 rounds, and a sweep with two rings foreseen and two cuts planned.
  CHECK(std::count(csv.out.begin(), csv.out.end(), '\n') == 12);
  const Outcome one = shelf.run({"export", shelf.shows()[2].key.substr(0, 6)});
  CHECK(std::count(one.out.begin(), one.out.end(), '\n') == 1);
}

TEST_CASE("book scores sums up, or has every guess") {
  const Shelf shelf;
  const Outcome text = shelf.run({"scores"});
  CHECK(text.status == 0);
  CHECK(has(text.out, "Ada: 1 guess, off by"));
  const Outcome csv = shelf.run({"scores", "--format", "csv"});
  CHECK(std::count(csv.out.begin(), csv.out.end(), '\n') == 3);
  CHECK(csv.out.rfind("guessed_at,") == 0);
  const Outcome one = shelf.run({"scores", "--trainee", "Ada", "--format", "json"});
  CHECK(json::parse(one.out)["key"] == sample_guess(2).key);
}

TEST_CASE("book merge makes a show of an analysis, once") {
  const Shelf shelf;
  const Outcome analysis =
      run_brink({"analyse", BRINK_TEST_SIGNALS "/wedge.flac", "--format", "json"});
  REQUIRE(analysis.status == 0);
  const std::size_t ring_count = json::parse(analysis.out)["rings"].size();
  REQUIRE(ring_count > 0);
  const std::string file = shelf / "analysis.json";
  brink::tests::write_bytes(file, analysis.out);
  const std::vector<std::string> words{"merge",
                                       file,
                                       "--venue",
                                       "Old Tannery",
                                       "--show",
                                       "Rehearsal",
                                       "--output",
                                       "wedge 1",
                                       "--started",
                                       "2026-11-25T18:00+01:00"};
  const Outcome first = shelf.run(words);
  CAPTURE(first.err);
  REQUIRE(first.status == 0);
  BookReader reader(shelf.path());
  REQUIRE(reader.shows().size() == 4);
  const auto show = reader.show(reader.shows()[0].key);
  REQUIRE(show);
  CHECK(show->venue == "Old Tannery");
  CHECK(show->started_at == "2026-11-25T18:00:00.000+01:00");
  REQUIRE(show->outputs.size() == 1);
  CHECK(show->outputs[0].name == "wedge 1");
  CHECK(show->outputs[0].rounds.size() == ring_count);
  const Outcome again = shelf.run(words);
  CHECK(again.status == 0);
  CHECK(has(again.err, "nothing new"));
  // Another recording of the same evening joins it.
  const Outcome more = shelf.run({"merge", file, "--venue", "Old Tannery", "--show", "Rehearsal"});
  CHECK(more.status == 0);
  CHECK(reader.shows().size() == 4);
  CHECK(reader.show(show->key)->outputs.size() == 2);
  CHECK(reader.show(show->key)->started_at == show->started_at);
}

TEST_CASE("a copy of the book's one file has what a command put into it") {
  const Shelf shelf;
  const std::string file = shelf / "analysis.json";
  brink::tests::write_bytes(
      file, run_brink({"analyse", BRINK_TEST_SIGNALS "/wedge.flac", "--format", "json"}).out);
  REQUIRE(shelf.run({"merge", file, "--venue", "Old Tannery", "--show", "Rehearsal"}).status == 0);
  const std::string copy = shelf / "copy.sqlite";
  std::filesystem::copy_file(shelf.path(), copy);  // without the log beside it
  CHECK(BookReader(copy).shows().size() == 4);
}

TEST_CASE("book delete wants a word of confirmation") {
  const Shelf shelf;
  const std::string key = shelf.shows()[0].key;
  const auto answer = [&](const char* typed) {
    Process asked({brink::tests::tested_program(), "book", "delete", key, "--book", shelf.path()});
    asked.write(typed);
    asked.close_input();
    return asked.wait(kPatienceS);
  };
  CHECK(answer("") == 2);
  CHECK(answer("y\n") == 2);
  CHECK(answer("no\n") == 2);
  CHECK(BookReader(shelf.path()).show(key));
  CHECK(answer("yes\n") == 0);
  CHECK(!BookReader(shelf.path()).show(key));
  CHECK(shelf.run({"delete", "--yes", shelf.shows()[1].key.substr(0, 8)}).status == 0);
  CHECK(BookReader(shelf.path()).shows().size() == 1);
  CHECK(has(shelf.run({"check"}).out, "The book is sound."));
}

TEST_CASE("book refuses what it cannot use with one sentence") {
  const Shelf shelf;
  shelf.check_sentence({"show", "abc"}, "'abc' is no show");
  shelf.check_sentence({"show", "' OR 1=1"}, "is no show");
  shelf.check_sentence({"show", "ffffffff0000"}, "no show's key begins with");
  shelf.check_sentence({"list", "--venue", "castle"}, "the book has no venue 'castle'");
  shelf.check_sentence({"list", "--format", "xml"}, "--format");
  shelf.check_sentence({"compare", shelf.shows()[2].key}, "no visit of");
  shelf.check_sentence({"compare", "last", "--venue", "lark"}, "not both");
  shelf.check_sentence({"compare", "--within", "0"}, "--within");
  shelf.check_sentence({"delete", "last", "--yes"}, "digits of the key");
  shelf.check_sentence({"import", "no-such-file.json"}, "cannot be read");
  shelf.check_sentence({"import", BRINK_TEST_SIGNALS "/wedge.flac"}, "line 1: is not what");
  shelf.check_sentence({"merge", BRINK_TEST_SIGNALS "/wedge.flac", "--venue", "a", "--show", "b"},
                       "line 1: is not what");
  shelf.check_sentence({"merge", "x", "--venue", "a", "--show", "b", "--started", "noon"},
                       "'noon' is no time of day");
  shelf.check_sentence({"scores", "--trainee", "Zoe"}, "no trainee 'Zoe'");
  shelf.check_sentence({"sing"}, "'brink book --help' lists them");
  const Outcome folder = run_brink({"book", "list", "--book", shelf / "."});
  CHECK(folder.status == 2);
  CHECK(has(folder.err, "is a directory; name the book's file in it."));
  const Outcome into = run_brink({"book", "import", shelf / "shows.json", "--book", shelf / "."});
  CHECK(into.status == 2);
  const Outcome missing = run_brink({"book", "list", "--book", shelf / "missing.sqlite"});
  CHECK(missing.status == 2);
  CHECK(
      has(missing.err, "there is no book here yet; ringing out in the window (brink) begins one"));
  brink::tests::write_bytes(shelf / "notes.txt", std::string(3000, 'x'));
  for (const char* const command : {"list", "check", "export"}) {
    const Outcome wrong = run_brink({"book", command, "--book", shelf / "notes.txt"});
    CHECK(wrong.status == 2);
    CHECK(has(wrong.err, "is not a book"));
  }
}

TEST_CASE("where no book was begun yet, one sentence says so, and only what lists is done") {
  const brink::tests::TemporaryDirectory folder;
  int count = 0;
  const auto run = [&](std::vector<std::string> words) {
    words.insert(words.begin(), {brink::tests::tested_program(), "book"});
    brink::tests::ProcessOptions options;
    options.err_path = folder / std::to_string(++count);
    options.environment["XDG_DATA_HOME"] = folder / "nothing";
    Process brink(words, options);
    CHECK(!brink.read_line(kPatienceS));
    const std::string err = brink::tests::read_bytes(options.err_path);
    CHECK(has(err, "there is no book here yet"));
    CHECK(std::count(err.begin(), err.end(), '\n') == 1);
    return brink.wait(kPatienceS);
  };
  CHECK(run({"show", "zz"}) == 2);
  CHECK(run({"compare"}) == 2);
  CHECK(run({"delete", "12345678", "--yes"}) == 2);
  CHECK(run({"export", "last"}) == 2);
  CHECK(run({"sheet", "last"}) == 2);
  CHECK(run({"check"}) == 2);
  CHECK(run({"list"}) == 0);
  CHECK(run({"scores"}) == 0);
  CHECK(run({"export"}) == 0);
}

TEST_CASE("book changes nothing while another program writes to it, and reads all the same") {
  const Shelf shelf;
  const std::string file = shelf / "shows.json";
  REQUIRE(shelf.run({"export", "--output", file}).status == 0);
  const brink::io::Book held(shelf.path());
  REQUIRE(!held.trouble());
  CHECK(shelf.run({"list"}).status == 0);
  shelf.check_sentence({"delete", "--yes", shelf.shows()[0].key},
                       "another program has this book open");
  CHECK(BookReader(shelf.path()).show(shelf.shows()[0].key));
  // Nothing to change: nothing to refuse.
  CHECK(shelf.run({"import", file}).status == 0);
}

TEST_CASE("an import that is killed is there whole or not at all") {
  const TemporaryDirectory directory;
  const std::string file = directory / "shows.json";
  const std::string path = directory / "book.sqlite";
  {
    BookAction action;
    for (std::uint32_t i = 0; i < 60; ++i) {
      action.shows.push_back(sample_show(i, 4, 20));
    }
    brink::io::Book book(directory / "source.sqlite");
    REQUIRE(book.wait_for(book.keep(std::move(action)), kPatienceS));
  }
  REQUIRE(run_brink({"book", "export", "--output", file, "--book", directory / "source.sqlite"})
              .status == 0);
  const char* const asked = std::getenv("BRINK_BOOK_KILLS");        // NOLINT(concurrency-mt-unsafe)
  const int kill_count = asked == nullptr ? 15 : std::atoi(asked);  // NOLINT(cert-err34-c)
  std::mt19937 random(5);
  int whole_count = 0;
  for (int i = 0; i < kill_count; ++i) {
    Process import({brink::tests::tested_program(), "book", "import", file, "--book", path});
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 250000));
    import.send_signal(SIGKILL);
    const auto status = import.wait(kPatienceS);
    BookReader reader(path);
    const std::size_t count = reader.shows().size();
    CAPTURE(i);
    CHECK((count == 0 || count == 60));
    if (status == 0) {
      CHECK(count == 60);
    }
    CHECK(reader.faults().empty());
    if (count == 60) {
      ++whole_count;
      for (const char* const end : {"", "-wal", "-shm"}) {
        std::filesystem::remove(path + end);
      }
    }
  }
  MESSAGE(whole_count << " of " << kill_count << " were whole");
}

TEST_CASE("values that cannot be are not imported, with the place named, and check finds them") {
  const Shelf shelf;
  const json good = json::parse(shelf.run({"show", shelf.shows()[0].key, "--format", "json"}).out);

  struct Wrong {
    const char* place;
    json value;
    const char* said;
  };

  const std::vector<Wrong> all{
      {"/outputs/1/rounds/2/ring/frequency_hz",
       -5,
       "output 'wedge 2', round 3: frequency_hz is -5"},
      {"/outputs/0/rounds/0/ring/confidence", 7, "round 1: confidence is 7, not 0 to 1"},
      {"/outputs/0/rounds/0/ring/flagged_at", "noon", "round 1: flagged_at is 'noon'"},
      {"/outputs/0/rounds/0/proposed/q", 1e300, "round 1: proposed: q is 1e+300, not 0 to 1000"},
      {"/outputs/0/cuts/0/centre_hz", 1e300, "output 'wedge 1', cuts: centre_hz is 1e+300"},
      {"/outputs/0/cuts/0/depth_db", 6, "cuts: depth_db is 6, not -120 to 0"},
      {"/outputs/0/back_off_db", -1e9, "output 'wedge 1', back_off_db is -1e+09"},
      {"/dismissals/0/frequency_hz", 1e6, "dismissals: frequency_hz is 1e+06"},
      {"/started_at", "yesterday", "started_at is 'yesterday', not a time like 2026"}};
  const std::string other = shelf / "other.sqlite";
  for (const Wrong& wrong : all) {
    CAPTURE(wrong.place);
    json bad = good;
    bad[json::json_pointer(wrong.place)] = wrong.value;
    const std::string file = shelf / "bad.json";
    brink::tests::write_bytes(file, good.dump() + "\n" + bad.dump() + "\n");
    const Outcome outcome = run_brink({"book", "import", file, "--book", other});
    CAPTURE(outcome.err);
    CHECK(outcome.status == 2);
    CHECK(has(outcome.err, "bad.json, line 2: show " + shelf.shows()[0].key.substr(0, 8) + ", "));
    CHECK(has(outcome.err, wrong.said));
    CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
    CHECK(BookReader(other).shows().empty());
  }
  CHECK(has(shelf.run({"check"}).out, "The book is sound."));
  BookAction action;
  action.shows = {shelf.shows()[0]};
  action.shows[0].outputs[0].cuts[0].q = 1e300;
  {
    brink::io::Book book(shelf.path());
    REQUIRE(book.wait_for(book.keep(action), kPatienceS));
  }
  shelf.check_sentence({"check"},
                       "has one record with a value that cannot be (show " +
                           shelf.shows()[0].key.substr(0, 8) +
                           ", output 'wedge 1', cuts: q is 1e+300, not 0 to 1000)");
}

TEST_CASE("book merge lets no recording take the place of another of its name") {
  const Shelf shelf;
  const auto analysis = [&](const std::string& folder) {
    std::filesystem::create_directory(shelf / folder);
    const std::string take = shelf / (folder + "/take.flac");
    brink::tests::write_bytes(take, brink::tests::read_bytes(BRINK_TEST_SIGNALS "/wedge.flac"));
    const std::string file = shelf / (folder + ".json");
    brink::tests::write_bytes(file, run_brink({"analyse", take, "--format", "json"}).out);
    return file;
  };
  const std::string friday = analysis("friday");
  const std::string saturday = analysis("saturday");
  const auto before = shelf.shows().size();
  shelf.check_sentence({"merge", friday, saturday, "--venue", "Old Tannery", "--show", "takes"},
                       "two recordings of one name would be one output");
  CHECK(shelf.shows().size() == before);
  // The same one twice is one.
  CHECK(shelf.run({"merge", friday, friday, "--venue", "Old Tannery", "--show", "takes"}).status ==
        0);
  CHECK(shelf
            .run({"merge",
                  saturday,
                  "--venue",
                  "Old Tannery",
                  "--show",
                  "takes",
                  "--output",
                  "saturday"})
            .status == 0);
  BookReader reader(shelf.path());
  CHECK(reader.show(brink::report::merged_key("Old Tannery", "takes"))->outputs.size() == 2);
}

TEST_CASE("a merged show is of the recording's own time, not of tonight") {
  const Shelf shelf;
  const std::string take = shelf / "take.flac";
  brink::tests::write_bytes(take, brink::tests::read_bytes(BRINK_TEST_SIGNALS "/wedge.flac"));
  const auto before = std::filesystem::last_write_time(take) - std::chrono::hours(24 * 300);
  std::filesystem::last_write_time(take, before);
  const std::string file = shelf / "analysis.json";
  brink::tests::write_bytes(file, run_brink({"analyse", take, "--format", "json"}).out);
  BookReader reader(shelf.path());
  REQUIRE(shelf.run({"merge", file, "--venue", "Old Tannery", "--show", "take"}).status == 0);
  const auto started = brink::base::parse_time(
      reader.show(brink::report::merged_key("Old Tannery", "take"))->started_at);
  REQUIRE(started);
  const auto written = std::chrono::file_clock::to_sys(before).time_since_epoch();
  // The file system keeps parts of a second, the book's time here does not.
  CHECK(std::abs(started->unix_ms -
                 std::chrono::duration_cast<std::chrono::milliseconds>(written).count()) <= 1000);
  std::filesystem::remove(take);
  REQUIRE(shelf.run({"merge", file, "--venue", "Old Tannery", "--show", "gone"}).status == 0);
  CHECK(reader.show(brink::report::merged_key("Old Tannery", "gone"))->started_at.empty());
}
