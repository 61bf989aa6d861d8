#include "cuts/target.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "base/error.h"
#include "cuts/grid.h"

using namespace brink;
using namespace brink::cuts;

namespace {

std::string complaint(const std::string& text) {
  try {
    (void)parse_target(text, "hall.txt");
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("a third-octave graphic stands on the IEC centres with the band's own Q") {
  // Source: base-ten centres 1000 * 10^(n/10), IEC 61260-1 (table: 19.953, 50.119, 3162.278,
  // 19952.623 Hz). Its band edges are 10^(1/20) and 10^(3/20) from the centre, so Q is
  // 1 / (10^(1/20) - 10^(-1/20)) = 4.3335 and 1 / (10^(3/20) - 10^(-3/20)) = 1.4195. The tables
  // that print 4.318 and 1.414 are base two.
  const Target* target = find_target("third-octave");
  REQUIRE(target != nullptr);
  CHECK(target->centres_hz.size() == 31);
  CHECK(target->centres_hz.front() == doctest::Approx(19.953).epsilon(1e-4));
  CHECK(target->centres_hz[4] == doctest::Approx(50.119).epsilon(1e-4));
  CHECK(target->centres_hz[22] == doctest::Approx(3162.278).epsilon(1e-6));
  CHECK(target->centres_hz.back() == doctest::Approx(19952.623).epsilon(1e-6));
  CHECK(target->qs.front() == doctest::Approx(4.3335).epsilon(1e-4));

  const Target* octave = find_target("octave");
  REQUIRE(octave != nullptr);
  CHECK(octave->centres_hz.size() == 10);
  CHECK(octave->centres_hz[5] == doctest::Approx(1000.0));
  CHECK(octave->qs.front() == doctest::Approx(1.4195).epsilon(1e-4));
}

TEST_CASE("every built-in target can be set to something, and steps as it says") {
  for (const Target& target : built_in_targets()) {
    CAPTURE(target.name);
    CHECK(find_target(target.name) == &target);
    const auto slots = to_slots(target, 48000.0);
    const bool has_high_pass = !target.high_pass_hz.empty();
    CHECK(slots.size() == static_cast<std::size_t>(target.bands) + (has_high_pass ? 1 : 0));
    for (const Slot& slot : slots) {
      CHECK(!slot.centres_hz.empty());
      CHECK(std::is_sorted(slot.centres_hz.begin(), slot.centres_hz.end()));
      CHECK(slot.depths_db.front() == 0.0);
      if (slot.kind == Slot::Kind::kPeaking) {
        CHECK(slot.depths_db[1] == -target.depth_step_db);
        CHECK(slot.depths_db.back() == doctest::Approx(target.deepest_db));
      }
    }
  }
  CHECK(find_target("no such thing") == nullptr);
}

TEST_CASE("centres that a low sample rate cannot hold are left out") {
  for (const Slot& slot : to_slots(*find_target("third-octave"), 16000.0)) {
    CHECK(slot.centres_hz.back() < 8000.0);
  }
}

TEST_CASE("a target's text says all that the struct holds") {
  const Target target = parse_target(
      "# the monitor desk of the Old Tannery\n"
      "name = monitor desk\n"
      "about = four bands # and no more\n"
      "kind = parametric\n"
      "bands = 4\r\n"
      "frequency = 40:16000\n"
      "frequency_steps_per_octave = 12\n"
      "q_list = 1 2 4 8\n"
      "deepest = -15\n"
      "depth_step = 1.5\n"
      "high_pass = 40:320\n"
      "high_pass_steps_per_octave = 3\n",
      "hall.txt");
  CHECK(target.name == "monitor desk");
  CHECK(target.about == "four bands");
  CHECK(target.kind == Target::Kind::kParametric);
  CHECK(target.bands == 4);
  CHECK(target.centres_hz.front() == 40.0);
  CHECK(target.centres_hz[12] == doctest::Approx(80.0));
  CHECK(target.centres_hz.back() <= 16000.0);
  CHECK(target.qs == std::vector{1.0, 2.0, 4.0, 8.0});
  CHECK(target.deepest_db == -15.0);
  CHECK(target.depth_step_db == 1.5);
  CHECK(target.high_pass_hz.size() == 10);
  CHECK(target.high_pass_hz.back() == doctest::Approx(320.0));
}

TEST_CASE("a graphic's text may leave bands out") {
  const Target target =
      parse_target("kind = graphic\nspacing = third-octave\nfrequency = 63:12500\n", "hall.txt");
  CHECK(target.centres_hz.size() == 24);
  CHECK(target.centres_hz.front() == doctest::Approx(63.096).epsilon(1e-4));
  CHECK(target.centres_hz.back() == doctest::Approx(12589.254).epsilon(1e-6));
  CHECK(target.name == "hall.txt");
}

TEST_CASE("a bad target text is refused with its line and field") {
  CHECK(complaint("") == "hall.txt: the field kind is missing.");
  CHECK(complaint("kind = tone\n") ==
        "hall.txt, line 1: kind must be graphic or parametric, not 'tone'.");
  CHECK(complaint("\nkind = parametric\nbands = many\n") ==
        "hall.txt, line 3: bands needs a number, not 'many'.");
  CHECK(complaint("kind = parametric\nbands = 2.5\n") ==
        "hall.txt, line 2: bands must be a whole number, not 2.5.");
  CHECK(complaint("kind = parametric\nbands = 0\n") ==
        "hall.txt, line 2: bands must be 1 to 32, not 0.");
  CHECK(complaint("kind = parametric\nbands = 4\nbands = 5\n") ==
        "hall.txt, line 3: bands was already given in line 2.");
  CHECK(complaint("kind = parametric\nbands = 4\nq = 8:2\n") ==
        "hall.txt, line 3: q must lie within 0.1:120 and rise, not 8:2.");
  CHECK(complaint("kind = parametric\nbands = 4\nspacing = octave\n") ==
        "hall.txt, line 3: spacing is no field of a parametric target.");
  CHECK(complaint("kind = graphic\nspacing = octave\ndeepest = 6\n") ==
        "hall.txt, line 3: deepest must be -60 to -0.1, not 6.");
  CHECK(complaint("kind = graphic\nspacing = octave\ndepth_step = 12\ndeepest = -6\n") ==
        "hall.txt, line 3: depth_step must not exceed the deepest cut, -6 dB.");
  CHECK(complaint("kind = graphic\nspacing = octave\nfrequency = 40:50\n") ==
        "hall.txt, line 3: frequency leaves no band.");
  CHECK(complaint("just words\n") == "hall.txt, line 1: needs 'field = value', not 'just words'.");
  CHECK(complaint("kind = parametric\nbands = 4\nq_list = 4 2\n").find("line 3: q_list") !=
        std::string::npos);
}
