#include "show/kept_target.h"

#include <doctest/doctest.h>

#include "base/error.h"
#include "desk/target_library.h"
#include "show/cut_words.h"
#include "support/files.h"

using namespace brink;
using cuts::Band;
using show::CutField;

TEST_CASE("the text kept of a target at hand gives that target back, number for number") {
  for (const cuts::Target& target : cuts::built_in_targets()) {
    CAPTURE(target.name);
    const cuts::Target kept =
        cuts::parse_target(desk::load_target(target.name).source_text, "kept");
    CHECK(kept.name == target.name);
    CHECK(kept.about == target.about);
    CHECK(kept.kind == target.kind);
    CHECK(kept.bands == target.bands);
    CHECK(kept.centres_hz == target.centres_hz);
    CHECK(kept.qs == target.qs);
    CHECK(kept.deepest_db == target.deepest_db);
    CHECK(kept.depth_step_db == target.depth_step_db);
    CHECK(kept.high_pass_hz == target.high_pass_hz);
    CHECK(show::to_target(target.name).centres_hz == target.centres_hz);
  }
  CHECK(show::to_target(" \n").name == "parametric");
}

TEST_CASE("a target's file is kept whole, with the file's name where it has none of its own") {
  tests::TemporaryDirectory directory;
  const std::string path = directory / "monitor desk.txt";
  tests::write_bytes(path, "# four bands\nkind = parametric\nbands = 4\n");
  const std::string text = desk::load_target(path).source_text;
  CHECK(text.find("# four bands") != std::string::npos);
  CHECK(show::to_target(text).name == "monitor desk");
  CHECK(show::to_target(text).bands == 4);
  tests::write_bytes(path, "name = desk\nkind = parametric\nbands = 4\n");
  CHECK(desk::load_target(path).source_text == "name = desk\nkind = parametric\nbands = 4\n");
  tests::write_bytes(path, "kind = unkind\n");
  CHECK_THROWS_AS((void)desk::load_target(path).source_text, base::Error);
  CHECK_THROWS_AS((void)desk::load_target(directory / "none.txt").source_text, base::Error);
  CHECK_THROWS_AS((void)show::to_target("kind = unkind\n"), base::Error);
}

TEST_CASE("a cut steps along the target's own lists and stays at their ends") {
  const cuts::Target target = show::to_target(
      "kind = parametric\nbands = 2\nfrequency_list = 100 200 400\nq_list = 2 4 8\n"
      "deepest = -10\ndepth_step = 3\nhigh_pass = 50:100\n");
  const Band at = show::nearest_on(target, {230.0, 5.0, -4.0});
  CHECK(at == Band{200.0, 4.0, -3.0});
  CHECK(show::step_on(target, at, CutField::kCentre, 1).centre_hz == 400.0);
  CHECK(show::step_on(target, at, CutField::kCentre, 5).centre_hz == 400.0);
  CHECK(show::step_on(target, at, CutField::kCentre, -5).centre_hz == 100.0);
  CHECK(show::step_on(target, at, CutField::kQ, 1).q == 8.0);
  CHECK(show::step_on(target, at, CutField::kDepth, 1).depth_db == -6.0);
  CHECK(show::step_on(target, at, CutField::kDepth, -1).depth_db == -3.0);  // 0 is no cut
  CHECK(show::step_on(target, at, CutField::kDepth, 9).depth_db == -9.0);   // -10 is no step
  const Band high_pass = cuts::to_band(cuts::HighPass{50.0});
  CHECK(show::step_on(target, high_pass, CutField::kDepth, 1) == high_pass);
  CHECK(show::step_on(target, high_pass, CutField::kCentre, 1).centre_hz ==
        doctest::Approx(50.0 * 1.122462));  // a sixth of an octave
  CHECK(show::nearest_on(show::to_target("octave"), high_pass) == high_pass);
}

TEST_CASE("a cut is told as its equaliser is labelled") {
  using Kind = cuts::Target::Kind;
  const Band cut{1584.893, 4.318, -6.0};
  CHECK(show::cut_text(cut) == "1585 Hz Q 4.32 -6 dB");
  CHECK(show::cut_text(cut, Kind::kGraphic) == "1.6 kHz -6 dB");
  CHECK(show::cut_words(cut, Kind::kParametric) == "1.58 kHz  Q 4.3  -6.0 dB");
  CHECK(show::cut_words(cut, Kind::kGraphic) == "1.6 kHz  -6.0 dB");
  CHECK(show::cut_words(cuts::to_band(cuts::HighPass{80.0}), Kind::kGraphic) ==
        "high-pass 80.0 Hz");
  CHECK(show::band_name(398.107) == "400 Hz");
  CHECK(show::band_name(700.0) == "700 Hz");  // of a graphic that has no third-octaves
  CHECK(show::kept_kind(desk::load_target("third-octave").source_text) == Kind::kGraphic);
  CHECK(show::kept_kind("no target at all") == Kind::kParametric);
}

TEST_CASE("a plan says how many of its cuts are heard on music") {
  // At Q 10 a dip is heard from 3 dB on (tests/cuts/audibility_test.cpp).
  const cuts::Cut quiet{1000.0, 10.0, -2.0};
  const cuts::Cut loud{4000.0, 10.0, -6.0};
  CHECK(show::audible_words({{}, {quiet}}) == "On music nobody would hear this cut.");
  CHECK(show::audible_words({{}, {loud}}) == "On music a listener could hear this cut.");
  CHECK(show::audible_words({{}, {quiet, loud}}) ==
        "On music a listener could hear 1 of the 2 cuts.");
  CHECK(show::audible_words({{}, {loud, {500.0, 10.0, -6.0}}}) ==
        "On music a listener could hear all 2 cuts.");
}

TEST_CASE("a target that is neither at hand nor a file is refused, with the names") {
  CHECK(desk::load_target("octave").name == "octave");
  std::string sentence;
  try {
    (void)desk::load_target("no-such-desk");
  } catch (const base::Error& error) {
    sentence = error.what();
  }
  CHECK(sentence.find("no-such-desk") != std::string::npos);
  CHECK(sentence.find("third-octave") != std::string::npos);
}
