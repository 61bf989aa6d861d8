#include "panel/ear/guess_words.h"

#include <doctest/doctest.h>

#include "panel/draw/words.h"
#include "panel/ear/ear_progress_plot.h"

using namespace brink;
using namespace brink::panel;

namespace {

/// A guess as a session scores it, at a ring 1 dB beyond the brink.
ear::GuessResult guessed(double true_hz, double guessed_hz) {
  ear::GuessResult result;
  result.truth = {true_hz, 1.0};
  result.score = ear::score_guess(result.truth, guessed_hz, *cuts::find_target("third-octave"));
  result.record.true_hz = true_hz;
  result.record.guessed_hz = guessed_hz;
  result.is_right = result.score.is_hit;
  return result;
}

}  // namespace

TEST_CASE("a guess an octave too high is said to be an octave slip, and its cut to miss") {
  const GuessWords words = guess_words(guessed(1000.0, 2000.0), false);
  CHECK(words.verdict == "Not yet");
  CHECK(words.answer == "it was 1.00 kHz (B5 +21 c)");  // 1000 Hz is 83.213 semitones: B5 +21
  REQUIRE(words.lines.size() == 3);
  CHECK(words.lines[0] == "You said 2.00 kHz: 1200 cents too high, 3.0 third-octaves.");
  CHECK(words.lines[1] == "An octave too high, and right otherwise: an octave slip.");
  CHECK(words.lines[2].find("it would have rung on") != std::string::npos);
  CHECK(words.lines[2].find(" dB at 2 kHz, takes") != std::string::npos);  // a graphic's own name
}

TEST_CASE("a guess finer than hearing is said as such, and its cut stops the ring") {
  const GuessWords words = guess_words(guessed(1000.0, 1003.0), false);
  CHECK(words.verdict == "Right");
  REQUIRE(words.lines.size() == 2);
  CHECK(words.lines[0] == "You said 1.00 kHz: as near as hearing goes, 10 cents.");
  CHECK(words.lines[1].find("the ring stops") != std::string::npos);
}

TEST_CASE("what a low level lets pass beyond a third-octave is near enough, and not right") {
  ear::GuessResult result = guessed(1000.0, 1500.0);
  REQUIRE_FALSE(result.score.is_hit);
  result.is_right = true;
  CHECK(guess_words(result, false).verdict == "Near enough");
}

TEST_CASE("by note, errors are semitones, no ring, no word of stopping, late is said") {
  ear::GuessResult result = guessed(440.0, 466.1638);
  result.truth.excess_db.reset();
  result.score = ear::score_guess(result.truth, 466.1638, *cuts::find_target("third-octave"));
  result.is_in_time = false;
  const GuessWords words = guess_words(result, true);
  REQUIRE(words.lines.size() == 3);
  CHECK(words.lines[0].find("1.0 semitones too high") != std::string::npos);
  CHECK(words.lines[1].find("ring") == std::string::npos);
  CHECK(words.lines[2] == "It was loud before you named it.");
}

TEST_CASE("third-octaves bear their nominal names") {
  // IEC 61260-1, nominal mid-band frequencies.
  CHECK(band_name(-13) == "50");
  CHECK(band_name(-5) == "315");
  CHECK(band_name(0) == "1k");
  CHECK(band_name(5) == "3.15k");
  CHECK(band_name(11) == "12.5k");
  CHECK(band_name(12) == "16k");
  CHECK(band_name(-14) == "40");
  CHECK(band_name(-15) == "31.5");
}

TEST_CASE("progress in words: hits, middle error and time, best and worst band, slips") {
  std::vector<show::GuessRecord> guesses;
  const auto add = [&](double true_hz, double guessed_hz, double took_s) {
    show::GuessRecord guess;
    guess.trainee = "Ada";
    guess.guessed_at = "2026-11-25T20:00:00.000+01:00";
    guess.true_hz = true_hz;
    guess.guessed_hz = guessed_hz;
    guess.took_s = took_s;
    guesses.push_back(guess);
  };
  CHECK(progress_words(ear::progress_of(guesses, "Ada")).size() == 1);
  add(250.0, 260.0, 3.0);
  add(2000.0, 4000.0, 5.0);
  add(250.0, 255.0, 4.0);
  const auto words = progress_words(ear::progress_of(guesses, "Ada"));
  REQUIRE(words.size() == 5);
  CHECK(words[0] == "3 guesses, 67 % within a third-octave.");
  // 260/250 is 67.9 cents, the middle one of 34, 68 and 1200.
  CHECK(words[1] == "Half of them within 68 cents, and in 4.0 s or less.");
  CHECK(words[2] == "Off by 4.3 semitones on average; practised listeners: about 3.");
  CHECK(words[3].find("Surest in the 250 band, farthest off in the 2k band") == 0);
  CHECK(words[4] == "1 octave slip.");
}
