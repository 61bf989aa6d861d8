#include "detector/rules.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

using namespace brink::detector;

namespace {

/// 40 dB/s over half a second, straight, pure and alone: what a loop beyond its brink makes.
Measures ideal_ring() {
  Measures m;
  m.span_s = 0.64F;
  m.rise_db = 25.6F;
  m.residual_db = 0.2F;
  m.step_db = 2.6F;
  m.frequency_hz = 1000.0F;
  m.wobble_rad = 0.02F;
  m.level_dbfs = -25.0F;
  m.prominence_db = 30.0F;
  m.impurity_db = -30.0F;
  m.seen_share = 1.0F;
  m.since_birth_db = 26.0F;
  m.age_s = 0.9F;
  m.over_others_db = 15.0F;
  m.band_share_db = -0.1F;
  m.total_rise_db = 12.0F;
  m.fundamental_db = m.partial_db = -60.0F;
  return m;
}

/// The first partial of a note: up in one step, wavering, with partials that rise as it does.
Measures note() {
  Measures m = ideal_ring();
  m.span_s = 0.3F;
  m.rise_db = 15.0F;
  m.residual_db = 5.0F;
  m.bow_db = -5.0F;
  m.lean_db = 15.0F;
  m.step_db = 25.0F;
  m.wobble_rad = 0.6F;
  m.drift_hz = 4.0F;
  m.prominence_db = 15.0F;
  m.impurity_db = -8.0F;
  m.since_birth_db = 4.0F;
  m.age_s = 0.4F;
  m.over_others_db = 1.0F;
  m.total_rise_db = 14.0F;
  m.risers = 6.0F;
  m.partial_db = -3.0F;
  m.partial_rise_db = 15.0F;
  return m;
}

float value_of(const std::string& name, const std::string& unit, const Measures& line) {
  const auto found = std::find_if(rules().begin(), rules().end(), [&](const Rule& rule) {
    return rule.name == name && rule.unit == unit;
  });
  REQUIRE_MESSAGE(found != rules().end(), name);
  return found->measure(line);
}

}  // namespace

TEST_CASE("the sum of the rules is for an ideal ring and against a note") {
  CHECK(log_odds(ideal_ring()) > 1.0F);
  CHECK(log_odds(note()) < -1.0F);
  // A look at nothing in particular speaks against: most lines are programme.
  Measures nothing;
  nothing.span_s = 0.3F;
  nothing.age_s = 0.5F;
  CHECK(log_odds(nothing) < 0.0F);
}

TEST_CASE("each step from a ring towards a note lowers the odds") {
  Measures line = ideal_ring();
  float last = log_odds(line);
  const auto falls = [&](const char* what) {
    CAPTURE(what);
    const float now = log_odds(line);
    CHECK(now < last);
    last = now;
  };
  line.wobble_rad = note().wobble_rad;
  falls("its phase wavers");
  line.residual_db = note().residual_db;
  line.step_db = note().step_db;
  falls("its level leaves the line");
  line.partial_db = note().partial_db;
  line.partial_rise_db = note().partial_rise_db;
  line.risers = note().risers;
  falls("partials rise with it");
}

TEST_CASE("every rule reads its own measure, as its words and unit say") {
  Measures m = ideal_ring();
  const auto near = [](double value) { return doctest::Approx(value).epsilon(1e-4); };
  CHECK(value_of("span", "log2 s", m) == near(std::log2(0.64)));
  CHECK(value_of("growth", "log2 dB/s", m) == near(std::log2(40.0)));
  CHECK(value_of("wobble", "log10 rad", m) == near(std::log10(0.025)));
  CHECK(value_of("scatter", "log10 dB", m) == near(std::log10(0.25)));
  CHECK(value_of("rise over scatter", "log10", m) == near(std::log10(25.6 / 0.4)));
  // Noise 30 dB below scatters the level by 6.1 * 10^(-30/20) dB.
  CHECK(value_of("scatter over noise", "log10", m) ==
        near(std::log10(0.25 / std::hypot(0.25, 6.1 * std::pow(10.0, -1.5)))));
  m.bow_db = -5.12F;
  m.lean_db = 12.8F;
  CHECK(value_of("bow", "share of rise", m) == near(-0.2));
  CHECK(value_of("largest step", "share of rise", m) == near(2.6 / 25.6));
  CHECK(value_of("lean", "share of rise", m) == near(0.5));
  m.held_s = 0.7F;
  CHECK(value_of("held", "s", m) == near(0.7));
  m.drift_hz = -0.08F;
  CHECK(value_of("drift", "log10 Hz", m) == near(-1.0));
  m.risers = 7.0F;
  CHECK(value_of("risers", "log2 lines", m) == near(3.0));
  m.fundamental_db = -4.0F;
  CHECK(value_of("line at a fraction", "dB", m) == near(-4.0));
  CHECK(value_of("line at a multiple", "dB", m) == near(-60.0));
  CHECK(value_of("share of band", "dB", m) == near(-0.1));
  CHECK(value_of("rise of everything", "dB", m) == near(12.0));
  CHECK(value_of("rise of everything", "share of rise", m) == near(12.0 / 25.6));
  CHECK(value_of("prominence", "dB", m) == near(30.0));
  CHECK(value_of("impurity", "dB", m) == near(-30.0));
  CHECK(value_of("seen", "share of looks", m) == near(1.0));
  CHECK(value_of("level", "dBFS", m) == near(-25.0));
  CHECK(value_of("age", "log2 s", m) == near(std::log2(0.9)));
  CHECK(value_of("rise since birth", "dB", m) == near(26.0));
  CHECK(value_of("frequency", "log2 Hz", m) == near(std::log2(1000.0)));
}

TEST_CASE("what rises with a multiple is told as a share of its own rise, within bounds") {
  Measures m = ideal_ring();
  const auto share = [&] { return value_of("rise at a multiple", "share of rise", m); };
  CHECK(share() == -1.0F);  // there is none
  m.partial_db = -10.0F;
  m.partial_rise_db = 12.8F;
  CHECK(share() == doctest::Approx(0.5));
  m.partial_rise_db = 25.6F;
  CHECK(share() == doctest::Approx(1.0));
  m.partial_rise_db = 900.0F;
  CHECK(share() == 2.0F);
  m.partial_rise_db = -900.0F;
  CHECK(share() == -1.0F);
}

TEST_CASE("a line whose partial rises with it is less of a ring than one whose partial stands") {
  Measures rising = ideal_ring();
  rising.over_others_db = 3.0F;
  rising.partial_db = -6.0F;
  Measures standing = rising;
  rising.partial_rise_db = rising.rise_db;
  standing.partial_rise_db = 0.0F;
  CHECK(log_odds(rising) < log_odds(standing));
}

TEST_CASE("odds are finite for every finite measure, and names tell the rules apart") {
  for (const float size : {0.0F, 1e-6F, 1.0F, -1.0F, 60.0F, -200.0F, 1e4F, -1e4F}) {
    Measures m;
    m.span_s = m.age_s = std::max(std::abs(size), 1e-3F);
    m.residual_db = m.wobble_rad = m.risers = std::abs(size);
    m.frequency_hz = std::abs(size);
    m.rise_db = m.bow_db = m.lean_db = m.step_db = m.drift_hz = m.level_dbfs = size;
    m.prominence_db = m.impurity_db = m.over_others_db = m.total_rise_db = m.partial_db = size;
    CAPTURE(size);
    CHECK(std::isfinite(log_odds(m)));
  }
  std::set<std::string> names;
  for (const Rule& rule : rules()) {
    CHECK(names.insert(std::string(rule.name) + ", " + rule.unit).second);
    CHECK(std::string(rule.reason).size() > 10);
  }
}
