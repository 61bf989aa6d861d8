#include <SQLiteCpp/SQLiteCpp.h>
#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <string>
#include <thread>

#include "base/error.h"
#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "io/book/book_schema.h"
#include "support/book_samples.h"
#include "support/files.h"
#include "support/process.h"
#include "support/skip.h"

using brink::io::Book;
using brink::io::BookReader;
using brink::show::ShowRecord;
using brink::tests::Process;
using brink::tests::read_bytes;
using brink::tests::sample_guess;
using brink::tests::sample_show;
using brink::tests::TemporaryDirectory;
using brink::tests::write_bytes;

namespace {

constexpr double kPatienceS = 20.0;

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// Through trouble: wait_for() gives up at the first word of it.
bool is_kept_in_time(const Book& book, std::uint64_t serial) {
  for (int i = 0; i < 200 && book.kept() < serial; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  }
  return book.kept() >= serial;
}

/// The book says what is wrong, and what is kept waits.
void check_trouble(Book& book, const std::string& part) {
  const auto before = book.kept();
  const auto serial = book.keep(sample_show(77));
  CHECK(!book.wait_for(serial, kPatienceS));
  const auto trouble = book.trouble();
  REQUIRE(trouble);
  CAPTURE(*trouble);
  CHECK(has(*trouble, part));
  CHECK(has(*trouble, "book.sqlite: "));
  CHECK(trouble->back() == '.');
  CHECK(book.kept() == before);
  CHECK(book.waiting() >= 1);
}

void make_book(const std::string& path) {
  Book book(path);
  REQUIRE(book.wait_for(book.keep(sample_show(1)), kPatienceS));
}

void run_sql(const std::string& path, const char* sql) {
  SQLite::Database(path, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec(sql);
}

int number(const std::string& path, const char* sql) {
  return SQLite::Database(path).execAndGet(sql).getInt();
}

/// Whether a child could give up root and still look into the folder; in a container with one user
/// alone, or under a root folder that is root's alone, it cannot.
bool can_become_nobody(const std::string& folder) {
  const pid_t child = fork();
  if (child == 0) {
    constexpr unsigned kNobody = 65534;
    const bool is_bound = geteuid() != 0 || (setgid(kNobody) == 0 && setuid(kNobody) == 0);
    _exit(is_bound && access(folder.c_str(), R_OK | X_OK) == 0 ? 0 : 1);
  }
  int status = 1;
  return child > 0 && waitpid(child, &status, 0) == child && status == 0;
}

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("a second writer of a book reads only, says so, and takes over") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Process holder({BOOK_KEEPER, "hold", path});
  REQUIRE(holder.read_line(kPatienceS) == "kept");
  Book second(path);
  check_trouble(second, "another program has this book open");
  CHECK(BookReader(path).show(sample_show(1).key) == sample_show(1));
  const auto serial = second.keep(sample_guess(1));
  SUBCASE("when the first ends") {
    holder.close_input();
  }
  SUBCASE("when the first is killed") {
    holder.send_signal(SIGKILL);
  }
  CHECK(is_kept_in_time(second, serial));
  CHECK(!second.trouble());
  CHECK(BookReader(path).shows().size() == 2);
}

TEST_CASE("a book locked by another program is written when it is free again") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  REQUIRE(book.wait_for(book.keep(sample_show(1)), kPatienceS));
  SQLite::Database other(path, SQLite::OPEN_READWRITE);
  other.exec("BEGIN IMMEDIATE");
  check_trouble(book, "locked by another program");
  // Readers do not wait, and a hundred newer states wait as one.
  CHECK(BookReader(path).shows().size() == 1);
  ShowRecord show = sample_show(2);
  std::uint64_t serial = 0;
  for (int i = 0; i < 100; ++i) {
    show.note = std::to_string(i);
    serial = book.keep(show);
  }
  other.exec("ROLLBACK");
  CHECK(is_kept_in_time(book, serial));
  CHECK(serial == 102);
  CHECK(!book.trouble());
  CHECK(BookReader(path).show(show.key) == show);
  CHECK(BookReader(path).show(sample_show(77).key) == sample_show(77));
}

TEST_CASE("a full disk is said, and what waits is written when there is room") {
  const TemporaryDirectory directory;
  Process keeper({BOOK_KEEPER, "full", directory / "."});
  const auto first = keeper.read_line(kPatienceS);
  REQUIRE(first);
  if (*first == "no small disk here") {
    brink::tests::skip("this system does not let a test mount a small disk");
    return;
  }
  CAPTURE(*first);
  CHECK(has(*first, "the disk is full"));
  CHECK(keeper.read_line(kPatienceS) == "read");
  CHECK(keeper.read_line(kPatienceS) == "waits");
  CHECK(keeper.read_line(kPatienceS) == "written");
  CHECK(keeper.read_line(kPatienceS) == "all is well");
}

TEST_CASE("a file that may not grow is said, and what waits is written when it may") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  REQUIRE(book.wait_for(book.keep(sample_show(1)), kPatienceS));
  std::signal(SIGXFSZ, SIG_IGN);
  rlimit limit{};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &limit) == 0);
  rlimit small = limit;
  small.rlim_cur = std::filesystem::file_size(path + "-wal");
  REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
  const auto serial = book.keep(sample_show(2, 5, 50));
  const bool is_early = book.wait_for(serial, kPatienceS);
  const std::string trouble = book.trouble().value_or("");
  REQUIRE(setrlimit(RLIMIT_FSIZE, &limit) == 0);
  CHECK(!is_early);
  CAPTURE(trouble);
  CHECK((has(trouble, "the disk does not take") || has(trouble, "the disk is full")));
  CHECK(is_kept_in_time(book, serial));
  CHECK(!book.trouble());
  CHECK(BookReader(path).show(sample_show(2).key) == sample_show(2, 5, 50));
  CHECK(BookReader(path).faults().empty());
}

TEST_CASE("a read-only book is read, and said to be read-only") {
  using std::filesystem::perms;
  const TemporaryDirectory directory;
  const std::string folder = directory / "shelf";
  const std::string path = folder + "/book.sqlite";
  make_book(path);
  std::filesystem::permissions(directory / ".", perms{0755});
  std::filesystem::permissions(folder, perms{0755});  // a new book's folder is its user's alone
  if (!can_become_nobody(folder)) {
    brink::tests::skip("root here cannot become a user whom permissions bind and who can get here");
    return;
  }
  SUBCASE("the file") {
    std::filesystem::permissions(path, perms{0444});
    std::filesystem::permissions(path + ".lock", perms{0666});
    std::filesystem::permissions(folder, perms{0777});
    Process keeper({BOOK_KEEPER, "nobody", path});
    CHECK(has(keeper.read_line(kPatienceS).value_or(""), "read-only"));
    CHECK(keeper.read_line(kPatienceS) == "1 shows");
  }
  SUBCASE("the folder") {
    std::filesystem::permissions(path, perms{0444});
    std::filesystem::permissions(folder, perms{0555});
    Process keeper({BOOK_KEEPER, "nobody", path});
    CHECK(has(keeper.read_line(kPatienceS).value_or(""), "cannot be written"));
    CHECK(keeper.read_line(kPatienceS) == "1 shows");
    std::filesystem::permissions(folder, perms{0755});
  }
  SUBCASE("a folder that cannot be made") {
    Process keeper({BOOK_KEEPER, "nobody", folder + "/book.sqlite/book.sqlite"});
    CHECK(has(keeper.read_line(kPatienceS).value_or(""), "its folder cannot be made"));
    CHECK(keeper.read_line(kPatienceS) == "0 shows");
  }
}

TEST_CASE("a damaged book is said to be so, a new one is begun when it is moved away") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  {
    Book book(path);
    for (std::uint32_t i = 0; i < 30; ++i) {
      (void)book.keep(sample_show(i));
    }
  }
  const std::size_t size_bytes = read_bytes(path).size();
  std::string part;
  std::string bytes = read_bytes(path);
  SUBCASE("at its beginning") {
    bytes.replace(0, 4096, std::string(4096, 'z'));
    part = "is not a book";
  }
  SUBCASE("all over") {
    bytes.replace(4096, size_bytes - 4096, std::string(size_bytes - 4096, 'z'));
    part = "is damaged";
  }
  write_bytes(path, bytes);
  Book book(path);
  check_trouble(book, part);
  CHECK_THROWS_AS((void)BookReader(path).shows(), brink::base::Error);
  const auto serial = book.keep(sample_show(1));
  std::filesystem::rename(path, directory / "old.sqlite");
  CHECK(is_kept_in_time(book, serial));
  CHECK(!book.trouble());
  CHECK(BookReader(path).show(sample_show(1).key) == sample_show(1));
  CHECK(BookReader(path).show(sample_show(77).key) == sample_show(77));
  CHECK(read_bytes(directory / "old.sqlite") == bytes);
}

TEST_CASE("a book of a newer form is left alone") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  make_book(path);
  run_sql(path, "PRAGMA user_version = 99");
  const std::string bytes = read_bytes(path);
  {
    Book book(path);
    check_trouble(book, "newer brink (form 99 of the book");
  }
  CHECK(read_bytes(path) == bytes);
  CHECK_THROWS_WITH_AS(
      (void)BookReader(path).shows(), doctest::Contains("newer brink"), brink::base::Error);
}

TEST_CASE("another program's database is left alone") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  run_sql(path, "CREATE TABLE birds(name TEXT); INSERT INTO birds VALUES('wren')");
  const std::string bytes = read_bytes(path);
  {
    Book book(path);
    check_trouble(book, "database of another program");
  }
  CHECK(read_bytes(path) == bytes);
  CHECK_THROWS_AS((void)BookReader(path).shows(), brink::base::Error);
}

TEST_CASE("a book that is taken away is begun anew, with what is kept from then on") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  Book book(path);
  BookReader reader(path);
  REQUIRE(book.wait_for(book.keep(sample_show(1)), kPatienceS));
  CHECK(reader.shows().size() == 1);
  for (const char* const end : {"", "-wal", "-shm"}) {
    std::filesystem::remove(path + end);
  }
  CHECK(reader.shows().empty());
  REQUIRE(book.wait_for(book.keep(sample_show(2)), kPatienceS));
  REQUIRE(reader.shows().size() == 1);
  CHECK(reader.show(sample_show(2).key) == sample_show(2));
}

TEST_CASE("a book is brought to the newest form, whole or not at all") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  const std::array<const char*, 1> first{"CREATE TABLE a(x); INSERT INTO a VALUES(7)"};
  const std::array<const char*, 3> newer{
      first[0], "ALTER TABLE a ADD COLUMN y", "CREATE TABLE b(z)"};
  const std::array<const char*, 3> broken{
      first[0], "ALTER TABLE a ADD COLUMN y", "CREATE TABL b(z)"};
  write_bytes(path, "");  // an empty file is form 0
  {
    SQLite::Database database(path, SQLite::OPEN_READWRITE);
    CHECK(!brink::io::is_readable(database, first, "book"));
    brink::io::bring_up(database, first, "book");
    CHECK(brink::io::is_readable(database, first, "book"));
    CHECK_THROWS_WITH_AS((void)brink::io::is_readable(database, newer, "book"),
                         doctest::Contains("older form"),
                         brink::base::Error);
    CHECK_THROWS_AS(brink::io::bring_up(database, broken, "book"), SQLite::Exception);
  }
  CHECK(number(path, "PRAGMA user_version") == 1);
  CHECK(number(path, "SELECT count(*) FROM pragma_table_info('a')") == 1);
  {
    SQLite::Database database(path, SQLite::OPEN_READWRITE);
    brink::io::bring_up(database, newer, "book");
    brink::io::bring_up(database, newer, "book");
    CHECK_THROWS_AS(brink::io::bring_up(database, first, "book"), brink::base::Error);
  }
  CHECK(number(path, "PRAGMA user_version") == 3);
  CHECK(number(path, "SELECT x FROM a WHERE y IS NULL") == 7);
}

TEST_CASE("the form that is published is the one in the file") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  make_book(path);
  CHECK(number(path, "PRAGMA user_version") == 6);
  CHECK(number(path, "PRAGMA application_id") == 0x62726E6B);
  CHECK(SQLite::Database(path).execAndGet("PRAGMA journal_mode").getString() == "wal");
}

TEST_CASE("what an older brink claimed and could not know is not claimed any more") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  {
    SQLite::Database database(path, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    brink::io::bring_up(database, brink::io::book_steps().first(2), "book");
    database.exec(
        "INSERT INTO venues VALUES(1, 'Mill hall');"
        "INSERT INTO shows VALUES(1, '00112233445566778899aabbccddeeff', 1, 'Harvest night',"
        " '2026-05-01T19:00:00.000+02:00', 2461162.2, 'nothing rang, 20:14', '', 3, 2, 9.0);"
        "INSERT INTO outputs VALUES(1, 1, 0, 'wedge 1', '', '', '', -14.0, 6.0, 'Stop.', '');"
        "INSERT INTO outputs VALUES(2, 1, 1, 'wedge 2', '', '', '', NULL, 6.0, 'Go on.', '');"
        "INSERT INTO outputs VALUES(3, 1, 2, 'mains', '', '', '', NULL, NULL, '', '');"
        // The second round's cut was taken out again.
        "INSERT INTO rounds VALUES(1, 0, '', 700, 0, 0, 0, 1, 0, NULL, NULL, NULL,"
        " 1, 700, 8, -6, -14.0, -11.0, 1, '');"
        "INSERT INTO rounds VALUES(1, 1, '', 900, 0, 0, 0, 1, 0, NULL, NULL, NULL,"
        " 0, NULL, NULL, NULL, -11.0, -5.0, 1, '');");
  }
  BookReader reader(path);
  const auto show = reader.show("00112233445566778899aabbccddeeff").value();
  CHECK(show.check == brink::show::CheckRecord{
                          .ended_at = "", .rang_hz = {}, .older_words = "nothing rang, 20:14"});
  REQUIRE(show.outputs.size() == 3);
  CHECK(show.outputs[0].is_ended);
  CHECK(show.outputs[0].back_off_db == 6.0);
  CHECK(show.outputs[0].advice == "Stop.");
  CHECK(show.outputs[1].is_ended);
  CHECK(!show.outputs[1].back_off_db);  // nothing rang
  CHECK(show.outputs[1].advice.empty());
  CHECK(!show.outputs[2].is_ended);
  CHECK(reader.shows().at(0).won_db == 3.0);
}

TEST_CASE("a book from before there were sweeps takes them once it is brought up") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  {
    SQLite::Database database(path, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    brink::io::bring_up(database, brink::io::book_steps().first(3), "book");
  }
  CHECK(number(path, "PRAGMA user_version") == 3);
  Book book(path);
  REQUIRE(book.wait_for(book.keep(sample_show(1)), kPatienceS));
  CHECK(number(path, "PRAGMA user_version") == 6);
  CHECK(BookReader(path).show(sample_show(1).key) == sample_show(1));
  brink::io::BookAction gone;
  gone.erased_shows = {sample_show(1).key};
  REQUIRE(book.wait_for(book.keep(gone), kPatienceS));
  for (const char* table : {"sweeps", "sweep_rings", "sweep_cuts", "sweep_warnings"}) {
    CHECK(number(path, (std::string("SELECT count(*) FROM ") + table).c_str()) == 0);
  }
}

TEST_CASE("a book of the first form is brought up, by a reader too, and loses nothing") {
  const TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  make_book(path);
  run_sql(path,
          "ALTER TABLE shows ADD COLUMN last_check TEXT NOT NULL DEFAULT '';"
          "UPDATE shows SET last_check = 'all open: nothing rings';"
          "DROP TABLE sweep_rings; DROP TABLE sweep_cuts; DROP TABLE sweep_warnings;"
          "DROP TABLE sweeps; ALTER TABLE rounds DROP COLUMN microphone;"
          "ALTER TABLE rounds DROP COLUMN laeq_1s_db;"
          "DROP TABLE check_rings; DROP TABLE checks;"
          "ALTER TABLE outputs DROP COLUMN tried_to_db; ALTER TABLE outputs DROP COLUMN is_ended;"
          "DROP TABLE live_shows; PRAGMA user_version = 1");
  BookReader reader(path);
  ShowRecord expected = sample_show(1);
  expected.check = brink::show::CheckRecord{
      .ended_at = "", .rang_hz = {}, .older_words = "all open: nothing rings"};
  REQUIRE(!expected.outputs[0].sweeps.empty());
  expected.outputs[0].sweeps.clear();  // no older brink had any
  for (auto& output : expected.outputs) {
    for (auto& round : output.rounds) {
      round.microphone.clear();
      round.ring.laeq_1s_db.reset();
    }
  }
  CHECK(reader.show(expected.key) == expected);
  CHECK(number(path, "PRAGMA user_version") == 6);
  // What was under way in it is not lost.
  CHECK(reader.newest_live_show() == sample_show(1).key);
  Book book(path);
  brink::io::BookAction gone;
  gone.erased_shows = {sample_show(1).key};
  REQUIRE(book.wait_for(book.keep(gone), kPatienceS));
  CHECK(!reader.newest_live_show());
}

TEST_SUITE_END();
