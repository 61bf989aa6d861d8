#include "panel/book/book_shelf.h"

#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <fstream>
#include <thread>

#include "io/book/book.h"
#include "panel/book/book_list.h"
#include "support/files.h"

using namespace brink;
using namespace brink::panel;

namespace {

show::ShowRecord show_of(const std::string& key, const std::string& venue, const std::string& day) {
  show::ShowRecord show;
  show.key = key;
  show.venue = venue;
  show.name = "evening " + key;
  show.started_at = day + "T20:00:00.000+01:00";
  show.outputs.emplace_back().name = "wedge";
  return show;
}

/// Passes as a window makes them, until nothing is asked any more.
void settle(BookShelf& shelf) {
  for (int pass = 0; pass < 2000; ++pass) {
    shelf.update();
    if (!shelf.is_reading()) {
      return;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  FAIL("the book was not read in 10 s");
}

}  // namespace

TEST_CASE("shows are listed, found, read with the visit before, and listed anew when one is kept") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  io::Book book(path);
  (void)book.keep(show_of("a", "Larkfield Hall", "2026-01-17"));
  (void)book.keep(show_of("b", "Mill Green Barn", "2026-02-01"));
  REQUIRE(book.wait_for(book.keep(show_of("c", "Larkfield Hall", "2026-03-05")), 10.0));
  std::atomic<int> news = 0;
  BookShelf shelf(path, [&] { ++news; });
  shelf.want_list("", book.kept());
  settle(shelf);
  REQUIRE(shelf.list().size() == 3);
  CHECK(shelf.list().front().key == "c");
  CHECK(news == 1);

  shelf.want_show("c");
  settle(shelf);
  CHECK(shelf.list_count() == 1);  // the list did not change, and was not read again
  REQUIRE(shelf.show().has_value());
  CHECK(shelf.show()->venue == "Larkfield Hall");
  REQUIRE(shelf.visit_before().has_value());
  CHECK(shelf.visit_before()->key == "a");

  shelf.want_show("a");
  settle(shelf);
  CHECK(!shelf.visit_before().has_value());

  shelf.want_list("mill", book.kept());
  settle(shelf);
  REQUIRE(shelf.list().size() == 1);
  CHECK(shelf.list_words() == "mill");
  REQUIRE(book.wait_for(book.keep(show_of("d", "Mill Green Barn", "2026-05-01")), 10.0));
  shelf.want_list("mill", book.kept());
  settle(shelf);
  CHECK(shelf.list().size() == 2);
  CHECK(shelf.fault().empty());
}

TEST_CASE("a book that cannot be read is told, and asked again when something changes") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  std::ofstream(path) << "this is no database, and long enough to be looked at as one";
  BookShelf shelf(path, [] {});
  shelf.want_list("", 0);
  settle(shelf);
  CHECK(!shelf.fault().empty());
  CHECK(shelf.list().empty());
}

TEST_CASE("a list shows the selected row and moves no farther than it must") {
  CHECK(first_row_for(0, 0, 10, 100) == 0);
  CHECK(first_row_for(0, 9, 10, 100) == 0);
  CHECK(first_row_for(0, 10, 10, 100) == 1);
  CHECK(first_row_for(50, 40, 10, 100) == 40);
  CHECK(first_row_for(95, 99, 10, 100) == 90);
  CHECK(first_row_for(5, 2, 10, 3) == 0);
  CHECK(first_row_for(3, 0, 10, 0) == 0);
}
