#include "io/book.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>

#include "io/book_reader.h"
#include "io/show_gain.h"
#include "support/book_samples.h"
#include "support/files.h"

using brink::io::Book;
using brink::io::BookAction;
using brink::io::BookReader;
using brink::io::ShowRecord;
using brink::tests::sample_guess;
using brink::tests::sample_show;
using brink::tests::TemporaryDirectory;

namespace {

constexpr double kPatienceS =
    20.0;  // a loaded machine; nothing here waits so long when all is well

}  // namespace

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
