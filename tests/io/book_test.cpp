#include "io/book/book.h"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <chrono>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <string>
#include <thread>

#include "base/error.h"
#include "io/book/book_reader.h"
#include "show/gain_won.h"
#include "show/record_key.h"
#include "support/book_samples.h"
#include "support/files.h"

using brink::io::Book;
using brink::io::BookAction;
using brink::io::BookReader;
using brink::show::ShowRecord;
using brink::tests::sample_guess;
using brink::tests::sample_show;
using brink::tests::TemporaryDirectory;

namespace {

constexpr double kPatienceS =
    20.0;  // a loaded machine; nothing here waits so long when all is well

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("what is kept is read back whole, by another connection and after the end") {
  const TemporaryDirectory directory;
  const std::string path = directory / "deep/er/book.sqlite";
  const ShowRecord show = sample_show(1);
  BookReader reader(path);
  CHECK(reader.shows().empty());
  CHECK(!reader.show(show.key));
  {
    Book book(path);
    CHECK(!book.trouble());
    CHECK(book.kept() == 0);
    const auto serial = book.keep(show);
    CHECK(serial == 1);
    REQUIRE(book.wait_for(serial, kPatienceS));
    CHECK(book.kept() == 1);
    CHECK(book.waiting() == 0);
    CHECK(reader.show(show.key) == show);
    (void)book.keep(sample_guess(4));
    (void)book.keep(sample_show(2));
  }
  CHECK(reader.show(show.key) == show);
  CHECK(reader.shows().size() == 2);
  REQUIRE(reader.guesses().size() == 1);
  CHECK(reader.guesses()[0] == sample_guess(4));
  CHECK(reader.faults().empty());
}

TEST_CASE("after some seconds without news a copy of the one file holds all of the book") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  REQUIRE(book.wait_for(book.keep(sample_show(1, 5, 50)), kPatienceS));
  const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(kPatienceS);
  while (std::filesystem::file_size(path + "-wal") > 0 && std::chrono::steady_clock::now() < end) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  CHECK(std::filesystem::file_size(path + "-wal") == 0);
  std::filesystem::copy_file(path, directory / "copy.sqlite");
  CHECK(BookReader(directory / "copy.sqlite").show(sample_show(1).key) == sample_show(1, 5, 50));
}

TEST_CASE("the book, what stands beside it and its folder are the user's alone") {
  const TemporaryDirectory directory;
  const std::string path = directory / "new/folder/book.sqlite";
  const mode_t mask = umask(0);
  {
    Book book(path);
    (void)book.wait_for(book.keep(sample_show(1)), kPatienceS);
    for (const std::string ending : {"", "-wal", "-shm", ".lock"}) {
      CAPTURE(ending);
      const auto mode = std::filesystem::status(path + ending).permissions();
      CHECK(mode == std::filesystem::perms{0600});
    }
  }
  umask(mask);
  CHECK(std::filesystem::status(directory / "new/folder").permissions() ==
        std::filesystem::perms::owner_all);
}

TEST_CASE("a show is replaced by its newer state: outputs changed, added, taken away") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  BookReader reader(path);
  ShowRecord show = sample_show(3);
  const auto check_kept = [&] {
    REQUIRE(book.wait_for(book.keep(show), kPatienceS));
    CHECK(reader.show(show.key) == show);
    CHECK(reader.shows().size() == 1);
  };
  check_kept();
  show.outputs[1].rounds.pop_back();
  show.outputs[1].cuts[0].depth_db = -9.0;
  check_kept();
  show.outputs.push_back(sample_show(9).outputs[0]);
  check_kept();
  show.outputs.erase(show.outputs.begin());
  show.dismissals.clear();
  check_kept();
  show.outputs.clear();
  show.venue = "elsewhere";
  show.note.clear();
  check_kept();
  CHECK(reader.venues().size() == 1);
}

TEST_CASE("an action is one: shows, guesses and what is taken out") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  BookReader reader(path);
  REQUIRE(book.wait_for(book.keep(sample_show(1)), kPatienceS));
  BookAction action;
  action.erased_shows = {sample_show(1).key, "not there"};
  action.shows = {sample_show(2), sample_show(3)};
  action.guesses = {sample_guess(1), sample_guess(2), sample_guess(1)};
  REQUIRE(book.wait_for(book.keep(action), kPatienceS));
  CHECK(!reader.show(sample_show(1).key));
  CHECK(reader.shows().size() == 2);
  CHECK(reader.guesses().size() == 2);
  CHECK(reader.guesses("Ada").size() == 1);
  CHECK(reader.trainees().size() == 2);
}

TEST_CASE("text of any kind and size comes back byte by byte") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  BookReader reader(path);
  ShowRecord show = sample_show(1);
  show.venue = "O'Brien\"s; DROP TABLE shows; --";
  show.name = std::string("nul\0inside", 10);
  show.started_at = "now";
  show.note = std::string(8U << 20U, 'n');
  show.check->older_words = "\xff\xfe no UTF-8 \xc3";
  show.outputs[0].name = "\xe6\x9d\xb1\xe4\xba\xac %s %_ ? ?1 :a";
  show.outputs[0].rounds[0].note = "line\nline\ttab\x1b[31m";
  show.outputs[1].prepared = {"", "'", "\\"};
  REQUIRE(book.wait_for(book.keep(show), kPatienceS));
  CHECK(reader.show(show.key) == show);
  CHECK(reader.shows({.venue = show.venue}).size() == 1);
  CHECK(reader.shows({.text = "nul"}).size() == 1);
  CHECK(reader.shows({.text = std::string("\0inside", 7)}).size() == 1);
  CHECK(reader.shows({.text = "' OR 1=1"}).empty());
  CHECK(reader.shows({.text = "%"}).size() == 1);
  CHECK(reader.shows({.text = "_x"}).empty());
  CHECK(reader.keys("' OR '1'='1").empty());
}

TEST_CASE("numbers come back bit by bit, what is no number is kept as nothing") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  ShowRecord show = sample_show(1);
  show.outputs[0].rounds[0].ring.frequency_hz = 0.1 + 0.2;
  show.outputs[0].rounds[0].ring.growth_db_per_s = -0.0;
  show.outputs[0].rounds[0].ring.peak_dbfs = 5e-324;
  show.outputs[0].rounds[0].ring.confidence = std::numeric_limits<double>::max();
  REQUIRE(book.wait_for(book.keep(show), kPatienceS));
  CHECK(BookReader(path).show(show.key) == show);
  show.outputs[0].rounds[0].ring.frequency_hz = std::nan("");
  show.outputs[0].rounds[0].rang_at_db = std::numeric_limits<double>::infinity();
  REQUIRE(book.wait_for(book.keep(show), kPatienceS));
  const auto read = BookReader(path).show(show.key);
  REQUIRE(read);
  CHECK(read->outputs[0].rounds[0].ring.frequency_hz == 0.0);
  CHECK(!read->outputs[0].rounds[0].rang_at_db);
}

TEST_CASE("shows are listed newest first, wherever the clock stood") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  BookReader reader(path);
  BookAction action;
  // In the order of time; by text the order would be another.
  const char* const times[] = {"2026-05-01T23:30:00.000+02:00",
                               "2026-05-01T22:00:00.000+00:00",
                               "2026-05-01T18:00:00.000-06:00",
                               "2026-05-02T00:01:00.000Z"};
  for (std::uint32_t i = 0; i < 4; ++i) {
    ShowRecord show = sample_show(i);
    show.started_at = times[i];
    show.venue = i % 2 == 0 ? "Larkfield Hall" : "Old Tannery";
    action.shows.push_back(show);
  }
  ShowRecord timeless = sample_show(9, 1, 1);
  timeless.started_at = "some day";
  timeless.venue = "Old Tannery";
  action.shows.push_back(timeless);
  REQUIRE(book.wait_for(book.keep(action), kPatienceS));
  const auto shows = reader.shows();
  REQUIRE(shows.size() == 5);
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(shows[i].started_at == times[3 - i]);
  }
  CHECK(shows[4].key == timeless.key);
  CHECK(shows[0].output_count == 3);
  CHECK(shows[0].round_count == 13);  // one of them a sweep
  CHECK(shows[0].won_db == brink::show::gain_won_db(action.shows[3]));
  const auto page = reader.shows({.skip = 1, .most = 2});
  REQUIRE(page.size() == 2);
  CHECK(page[0] == shows[1]);
  const auto visits = reader.shows({.venue = "Old Tannery"});
  REQUIRE(visits.size() == 3);
  CHECK(visits[0].started_at == times[3]);
  const auto venues = reader.venues();
  REQUIRE(venues.size() == 2);
  CHECK(venues[0] == brink::io::VenueSummary{"Larkfield Hall", 2, times[2]});
  CHECK(venues[1] == brink::io::VenueSummary{"Old Tannery", 3, times[3]});
}

TEST_CASE("a search finds every word, in any letters") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  BookReader reader(path);
  ShowRecord show = sample_show(1);
  show.venue = "Gr\xc3\xbcner Saal";                             // Grüner
  show.note = "\xce\xa3\xce\x9f\xce\xa6\xce\x99\xce\x91 sings";  // ΣΟΦΙΑ
  show.outputs[2].rounds[1].note = "Lead voice steps back";
  ShowRecord other = sample_show(2);
  other.venue = "Old Tannery";
  (void)book.keep(show);
  REQUIRE(book.wait_for(book.keep(other), kPatienceS));
  const auto found = [&reader](const char* text) { return reader.shows({.text = text}).size(); };
  CHECK(found("") == 2);
  CHECK(found("  ") == 2);
  CHECK(found("GR\xc3\x9cNER") == 1);                             // GRÜNER
  CHECK(found("\xcf\x83\xce\xbf\xcf\x86\xce\xb9\xce\xb1") == 1);  // σοφια
  CHECK(found("saal STEPS") == 1);
  CHECK(found("saal nobody") == 0);
  // A changed text is found, the old one no more.
  show.note = "rain";
  REQUIRE(book.wait_for(book.keep(show), kPatienceS));
  CHECK(found("sings") == 0);
  CHECK(found("rain saal") == 1);
}

TEST_CASE("gain won is the sum of what the rounds won") {
  brink::show::OutputRecord output;
  output.start_at_db = -11.0;
  CHECK(!brink::show::gain_won_db(output));  // nothing rang
  output.rounds.resize(2);
  output.rounds[0].rang_at_db = -10.0;
  output.rounds[0].cut = brink::cuts::Band{1000.0, 8.0, -3.0};
  CHECK(brink::show::gain_won_db(output) == 0.0);  // nothing has come back yet
  output.rounds[0].returned_at_db = -8.5;
  CHECK(brink::show::gain_won_db(output) == 1.5);
  output.rounds[1].rang_at_db = -8.5;
  CHECK(brink::show::gain_won_db(output) == 1.5);
  output.rounds[1].returned_at_db = -6.0;
  CHECK(brink::show::gain_won_db(output) == 1.5);  // what was not cut has won nothing
  output.rounds[1].cut = brink::cuts::Band{2000.0, 8.0, -3.0};
  CHECK(brink::show::gain_won_db(output) == 4.0);
  ShowRecord show;
  CHECK(!brink::show::gain_won_db(show));
  show.outputs = {output, brink::show::OutputRecord{}, output};
  show.outputs[2].rounds.resize(1);
  CHECK(brink::show::gain_won_db(show) ==
        2.75);  // the mean over the outputs in which something rang
}

TEST_CASE("the book is where the data of the user is") {
  // NOLINTBEGIN(concurrency-mt-unsafe): one thread here
  setenv("HOME", "/home/ada", 1);
  setenv("XDG_DATA_HOME", "/data", 1);
  CHECK(brink::io::default_book_path() == "/data/brink/book.sqlite");
  setenv("XDG_DATA_HOME", "data", 1);
  CHECK(brink::io::default_book_path() == "/home/ada/.local/share/brink/book.sqlite");
  unsetenv("XDG_DATA_HOME");
  CHECK(brink::io::default_book_path() == "/home/ada/.local/share/brink/book.sqlite");
  unsetenv("HOME");
  CHECK_THROWS_AS((void)brink::io::default_book_path(), brink::base::Error);
  setenv("HOME", "/home/ada", 1);
  // NOLINTEND(concurrency-mt-unsafe)
}

TEST_CASE("keys are new, or always the same for the same text") {
  CHECK(brink::show::is_key(brink::show::new_key()));
  CHECK(brink::show::new_key() != brink::show::new_key());
  CHECK(brink::show::is_key(brink::show::key_of("")));
  CHECK(brink::show::key_of("a b") == brink::show::key_of("a b"));
  CHECK(brink::show::key_of("a b") != brink::show::key_of("a c"));
  // Published: the FNV-1a hash of "foobar" in 64 bits is 85944171f73967e8
  // (http://www.isthe.com/chongo/tech/comp/fnv/, test vectors).
  CHECK(brink::show::key_of("foobar").substr(0, 16) == "85944171f73967e8");
  CHECK(!brink::show::is_key("85944171f73967e8"));
  CHECK(!brink::show::is_key("85944171F73967E885944171F73967E8"));
}

TEST_SUITE_END();
