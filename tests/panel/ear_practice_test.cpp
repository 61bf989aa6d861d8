#include "panel/ear/ear_practice.h"

#include <doctest/doctest.h>

#include <chrono>
#include <filesystem>
#include <thread>

#include "ear/ruler.h"
#include "io/book/book_reader.h"
#include "io/whole_sound.h"
#include "panel/ear/ear_ruler.h"
#include "support/files.h"

using namespace brink;
using namespace brink::panel;
using Phase = ear::EarSession::Phase;

namespace {

/// Passes as a window makes them.
template <typename IsSo>
void pass_until(EarPractice& practice, const IsSo& is_so) {
  for (int pass = 0; pass < 6000; ++pass) {
    practice.update();
    if (is_so()) {
      return;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  FAIL("waited 30 s in vain");
}

}  // namespace

TEST_CASE("an exercise is made beside, written, guessed and kept, the next one follows") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  io::Book book(path);
  EarPractice practice(path, book, [] {});
  CHECK(practice.session() == nullptr);
  practice.lock();  // nothing to lock, nothing happens
  practice.begin({"Ada", 0, false}, *cuts::find_target("parametric"));
  pass_until(practice, [&] { return practice.session() != nullptr; });
  CHECK(practice.session()->phase() == Phase::kReady);
  CHECK(!practice.is_open());
  practice.lock();
  CHECK(!practice.result().has_value());

  practice.write_file();
  pass_until(practice, [&] { return practice.is_open(); });
  const io::Sound sound = io::read_sound(practice.file_path(), 60.0);
  const ear::Exercise& exercise = practice.session()->exercise();
  REQUIRE(sound.samples.size() == exercise.samples.size());
  // 24 bits: half a step of 2^-23, and as much again for full scale not being a power of two.
  CHECK(std::abs(sound.samples[40000] - exercise.samples[40000]) < 2.5e-7F);

  const double true_hz = exercise.truths.front().frequency_hz;
  practice.session()->ruler().place(true_hz);
  practice.lock();
  REQUIRE(practice.result().has_value());
  CHECK(practice.result()->is_right);
  REQUIRE(practice.answers().size() == 1);
  CHECK(practice.answers().front().true_hz == true_hz);
  REQUIRE(book.wait_for(practice.serial(), 10.0));
  const auto kept = io::BookReader(path).guesses("Ada");
  REQUIRE(kept.size() == 1);
  CHECK(kept.front() == practice.result()->record);

  practice.next();
  CHECK(practice.session() == nullptr);
  CHECK(practice.answers().empty());
  pass_until(practice, [&] { return practice.session() != nullptr; });
  CHECK(practice.session()->number() == 2);
  practice.give_up();
  CHECK(practice.session()->phase() == Phase::kUnscored);
  CHECK(practice.answers().size() == 1);  // what it was is told
  CHECK(practice.session()->results().size() == 1);
}

TEST_CASE("another choice while an exercise is being made wins") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  io::Book book(path);
  EarPractice practice(path, book, [] {});
  practice.begin({"Ada", 0, false}, *cuts::find_target("parametric"));
  practice.update();
  practice.begin({"Ada", 5, true}, *cuts::find_target("parametric"));
  pass_until(practice, [&] {
    return practice.session() != nullptr &&
           practice.session()->exercise().plan.kind == ear::ExerciseKind::kNoise;
  });
  CHECK(practice.session()->exercise().plan.by_note);
}

TEST_CASE("the close-up is an octave about the guess's third-octave, and holds the guess") {
  for (const double guess_hz : {50.0, 61.0, 999.0, 1120.0, 1130.0, 16000.0}) {
    const CloseUp close = close_up_of(guess_hz);
    CHECK(close.highest_hz == doctest::Approx(2.0 * close.lowest_hz));
    CHECK(guess_hz > close.lowest_hz);
    CHECK(guess_hz < close.highest_hz);
  }
  // Finer steps within a band do not move it.
  CHECK(close_up_of(960.0).lowest_hz == close_up_of(1040.0).lowest_hz);
}
