#include "desk/show_keeper.h"

#include <doctest/doctest.h>

#include <array>
#include <chrono>
#include <span>
#include <thread>

#include "base/time_of_day.h"
#include "io/book/book_reader.h"
#include "support/files.h"

using namespace brink;
using desk::ShowKeeper;

namespace {

using namespace std::chrono_literals;

constexpr double kPatienceS = 10.0;  // only ever spent when something hangs

void do_nothing() {}

/// Passes of a window until `is_so`.
template <typename Condition>
bool pass_until(ShowKeeper& keeper, const Condition& is_so) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(kPatienceS);
  while (!is_so() && std::chrono::steady_clock::now() < end) {
    keeper.update();
    std::this_thread::sleep_for(2ms);
  }
  return is_so();
}

show::SessionEvent ring_event(show::EventKind kind, detector::RingState state) {
  show::SessionEvent event;
  event.kind = kind;
  event.wall = std::chrono::system_clock::now();
  event.tap = 1;
  event.sample_rate_hz = 48000.0;
  event.ring.id = 7;
  event.ring.state = state;
  event.ring.frequency_hz = 2631.0;
  event.ring.growth_db_per_s = 40.0;
  event.ring.level_dbfs = -30.0;
  return event;
}

/// A show with an output and one round, in the book.
std::string log_a_round(const std::string& path) {
  io::Book book(path);
  ShowKeeper keeper(path, book, "Mill hall", "Harvest night", do_nothing);
  REQUIRE(pass_until(keeper, [&] { return !keeper.is_looking(); }));
  keeper.flow().add_output({"Wedge 1", "vocal", "centre", ""});
  keeper.flow().set_fader_db(-3.0);
  const show::SessionEvent ring =
      ring_event(show::EventKind::kRinging, detector::RingState::kRinging);
  keeper.hear({&ring, 1}, 1);
  REQUIRE(pass_until(keeper, [&] {
    const auto offered = keeper.flow().offered();
    return offered.size() == 1 && offered[0].proposal.has_value();
  }));
  REQUIRE(keeper.flow().log_cut(keeper.flow().offered()[0].id));
  CHECK_FALSE(keeper.is_logged());  // not before the book has it
  REQUIRE(pass_until(keeper, [&] { return keeper.is_logged(); }));
  return keeper.flow().record().key;
}

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("a show in progress is gone on with by the next program, round and all") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  const std::string key = log_a_round(path);

  io::Book book(path);
  ShowKeeper keeper(path, book, "elsewhere", "another", do_nothing);
  REQUIRE(pass_until(keeper, [&] { return !keeper.is_looking(); }));
  CHECK(keeper.was_found());
  CHECK(keeper.flow().record().key == key);
  CHECK(keeper.flow().record().venue == "Mill hall");
  REQUIRE(keeper.flow().output() != nullptr);
  CHECK(keeper.flow().output()->rounds.size() == 1);
  CHECK(keeper.is_logged());

  keeper.begin_show();
  CHECK(keeper.flow().record().key != key);
  CHECK(keeper.flow().record().venue == "Mill hall");
  CHECK(keeper.flow().record().outputs.empty());
}

TEST_CASE("what was done before the book was read is not thrown away for what the book has") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  log_a_round(path);
  io::Book book(path);
  ShowKeeper keeper(path, book, "", "", do_nothing);
  keeper.flow().add_output({"Mains", "", "", ""});
  REQUIRE(pass_until(keeper, [&] { return !keeper.is_looking(); }));
  CHECK_FALSE(keeper.was_found());
  CHECK(keeper.flow().output()->name == "Mains");
}

TEST_CASE("a second program on a book begins a show of its own") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  const std::string key = log_a_round(path);
  io::Book first(path);
  io::Book second(path);
  REQUIRE(second.trouble().has_value());
  ShowKeeper keeper(path, second, "", "", do_nothing);
  CHECK_FALSE(keeper.is_looking());
  CHECK(keeper.flow().record().key != key);
}

TEST_CASE("a show is over after the night, checked or not") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  const auto now = std::chrono::system_clock::now();
  CHECK_FALSE(desk::find_show_in_progress(path, now).has_value());  // no book at all
  log_a_round(path);
  CHECK(desk::find_show_in_progress(path, now).has_value());
  CHECK_FALSE(desk::find_show_in_progress(path, now + 48h).has_value());
  {
    io::Book book(path);
    auto show = desk::find_show_in_progress(path, now);
    REQUIRE(show.has_value());
    show->check =
        show::CheckRecord{.ended_at = base::wall_text(now), .listened_s = 12.0, .rang_hz = {}};
    REQUIRE(book.wait_for(book.keep(*show), kPatienceS));
  }
  REQUIRE(desk::find_show_in_progress(path, now).has_value());
  CHECK(desk::find_show_in_progress(path, now)->check->listened_s == 12.0);
}

TEST_CASE("only what was rung out live is gone on with, not what came from elsewhere") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  const std::string elsewhere = folder / "elsewhere.sqlite";
  const auto now = std::chrono::system_clock::now();
  const std::string key = log_a_round(elsewhere);
  io::BookAction brought;
  brought.shows = {io::BookReader(elsewhere).show(key).value()};
  {
    io::Book book(path);
    REQUIRE(book.wait_for(book.keep(brought), kPatienceS));
  }
  CHECK(desk::find_show_in_progress(elsewhere, now).has_value());
  CHECK_FALSE(desk::find_show_in_progress(path, now).has_value());
  const std::string own = log_a_round(path);
  // The book's newest is none of tonight's.
  brought.shows[0].started_at = base::wall_text(now + 1h);
  {
    io::Book book(path);
    REQUIRE(book.wait_for(book.keep(brought), kPatienceS));
  }
  CHECK(io::BookReader(path).shows().front().key == key);
  REQUIRE(desk::find_show_in_progress(path, now).has_value());
  CHECK(desk::find_show_in_progress(path, now)->key == own);
}

TEST_CASE("the rings of a source that is listened to no more are over") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  io::Book book(path);
  ShowKeeper keeper(path, book, "", "", do_nothing);
  keeper.flow().add_output({"Wedge 1", "", "", ""});
  const show::SessionEvent building =
      ring_event(show::EventKind::kBuilding, detector::RingState::kBuilding);
  keeper.hear({&building, 1}, 1);
  CHECK(keeper.flow().offered().size() == 1);
  keeper.hear({}, 2);
  CHECK(keeper.flow().offered().empty());
}

TEST_CASE("a ring that went with its input was not seen to fade") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  for (const bool is_lost : {false, true}) {
    io::Book book(path);
    ShowKeeper keeper(path, book, "", "", do_nothing);
    keeper.flow().add_output({"Wedge 1", "", "", ""});
    keeper.flow().set_fader_db(-3.0);
    const show::SessionEvent ring =
        ring_event(show::EventKind::kRinging, detector::RingState::kRinging);
    keeper.hear({&ring, 1}, 1);
    REQUIRE(keeper.flow().log_cut(keeper.flow().offered()[0].id));
    CHECK(keeper.flow().rounds()[0].check == show::RoundCheck::kSounding);
    std::array<show::SessionEvent, 2> end{
        ring_event(show::EventKind::kGone, detector::RingState::kGone)};
    end[1].kind = show::EventKind::kInputLost;
    keeper.hear(std::span(end).first(is_lost ? 2 : 1), 1);
    CHECK(keeper.flow().rounds()[0].check ==
          (is_lost ? show::RoundCheck::kOpen : show::RoundCheck::kFaded));
    CHECK(keeper.flow().offered().empty());
  }
}

TEST_SUITE_END();
