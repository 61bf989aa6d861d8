// A book on a file system that gives no locks, as some network file systems do: nothing is written
// there, since nobody could keep two programs apart, and it is said why.

#include <doctest/doctest.h>

#include <cerrno>
#include <optional>
#include <string>
#include <utility>

#include "base/error.h"
#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "support/book_samples.h"
#include "support/faults/fault.h"
#include "support/files.h"

using namespace brink;
using tests::Fault;
using tests::FaultKind;

namespace {

constexpr double kPatienceS = 20.0;
constexpr const char* kSaid = "its file system gives no locks";

}  // namespace

TEST_CASE("a book whose locks are refused is not written, says why, and is once they are given") {
  const tests::TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  for (const int reason : {ENOLCK, EOPNOTSUPP, ENOSYS}) {
    CAPTURE(reason);
    {
      std::optional<Fault> fault(std::in_place, FaultKind::kLocks, reason);
      io::Book book(path);
      CHECK(!book.wait_for(book.keep(tests::sample_show(1)), kPatienceS));
      CHECK(book.trouble().value_or("").find(kSaid) != std::string::npos);
      CHECK(Fault::was_met());
      fault.reset();
    }  // the book ends: what waits is written now
    CHECK(io::BookReader(path).show(tests::sample_show(1).key) == tests::sample_show(1));
  }
}

TEST_CASE("a book whose locks are refused is not read either, and says why") {
  const tests::TemporaryDirectory directory;
  const std::string path = directory / "book.sqlite";
  {
    io::Book book(path);
    REQUIRE(book.wait_for(book.keep(tests::sample_show(1)), kPatienceS));
  }
  io::BookReader reader(path);
  {
    const Fault fault(FaultKind::kLocks, ENOLCK);
    CHECK_THROWS_WITH_AS((void)reader.shows(), doctest::Contains(kSaid), base::Error);
  }
  {
    const Fault fault(FaultKind::kLocks, EIO);
    CHECK_THROWS_WITH_AS(
        (void)reader.shows(), doctest::Contains("the disk does not take or give it"), base::Error);
  }
  CHECK(reader.shows().size() == 1);
}
