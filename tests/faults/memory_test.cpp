// Every request for memory in a set-up is refused in turn. What then comes is an exception, nothing
// is lost or left hanging, and the next try works.

#include <doctest/doctest.h>

#include <memory>
#include <new>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "base/error.h"
#include "cuts/planner.h"
#include "detector/detector.h"
#include "io/book/book.h"
#include "io/page/page_server.h"
#include "listen/session.h"
#include "support/book_samples.h"
#include "support/faults/fault.h"
#include "support/files.h"

using namespace brink;
using tests::Fault;
using tests::FaultKind;

namespace {

/// Gives no samples, and is over.
class NoSound final : public io::Source {
 public:
  [[nodiscard]] const std::string& name() const noexcept override { return name_; }

  [[nodiscard]] double sample_rate_hz() const noexcept override { return 48000.0; }

  [[nodiscard]] const std::vector<int>& taps() const noexcept override { return taps_; }

  [[nodiscard]] bool is_live() const noexcept override { return false; }

  [[nodiscard]] io::SourceReading read(std::span<float> /*samples*/) override {
    io::SourceReading reading;
    reading.is_over = true;
    return reading;
  }

 private:
  std::string name_ = "none";
  std::vector<int> taps_{1, 2};
};

/// Sets up again and again, until no request is refused any more. Returns how many were refused.
template <typename SetUp>
int refuse_each(const SetUp& set_up) {
  set_up();  // what is made once and kept is there from now on
  for (int refused = 0;; ++refused) {
    const long before = tests::blocks_in_use();
    bool was_met = false;
    {
      const Fault fault(FaultKind::kMemory, refused + 1);
      try {
        set_up();
      } catch (const std::bad_alloc&) {
        was_met = true;
      } catch (const std::system_error&) {  // a thread that cannot be begun
        was_met = true;
      } catch (const base::Error&) {
        was_met = true;
      }
      was_met = was_met || Fault::was_met();
    }
    if (!was_met) {
      return refused;
    }
    const long after = tests::blocks_in_use();  // the macros below have some of their own
    CAPTURE(refused);
    REQUIRE(after == before);
  }
}

}  // namespace

TEST_CASE("a detector that gets no memory somewhere is refused whole") {
  for (const double rate_hz : {8000.0, 48000.0, 192000.0}) {
    const int refused = refuse_each([&] {
      detector::DetectorConfig config;
      config.sample_rate_hz = rate_hz;
      const detector::Detector detector(config);
    });
    MESSAGE(rate_hz, " Hz: ", refused, " requests");
    CHECK(refused > 20);
  }
}

TEST_CASE("a plan that gets no memory somewhere is refused whole") {
  cuts::PlanConfig config;
  config.work = 1;
  const std::vector<cuts::Cut> wanted{{1000.0, 8.0, -6.0}};
  const int refused = refuse_each(
      [&] { (void)cuts::plan_for_cuts(wanted, *cuts::find_target("parametric-4"), config); });
  MESSAGE(refused, " requests");
  CHECK(refused > 20);
}

TEST_CASE("a session that gets no memory somewhere is refused whole, and its thread ends") {
  const int refused = refuse_each([] {
    listen::SessionConfig config;
    config.forecasts = 1;
    const listen::Session session(std::make_unique<NoSound>(), config);
  });
  MESSAGE(refused, " requests");
  CHECK(refused > 20);
}

TEST_CASE("a book that gets no memory somewhere is refused whole, and its thread ends") {
  const tests::TemporaryDirectory directory;
  const int refused = refuse_each([&] {
    io::Book book(directory / "book.sqlite");
    (void)book.keep(tests::sample_show(1, 1, 1));
  });
  MESSAGE(refused, " requests");
  CHECK(refused > 5);
}

TEST_CASE("a page that gets no memory somewhere is refused whole, and its threads end") {
  const int refused = refuse_each([] {
    io::PageConfig config;
    config.address = {"127.0.0.1", 0};
    config.secret = "abcdefghijkmnpqrstvwxyz234";
    const io::PageServer server(std::move(config));
  });
  MESSAGE(refused, " requests");
  CHECK(refused > 20);
}
