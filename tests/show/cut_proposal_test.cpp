#include "show/cut_proposal.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "cuts/setting.h"
#include "show/band_changes.h"
#include "show/cut_words.h"
#include "show/kept_target.h"

using namespace brink;
using cuts::Band;
using show::Proposal;
using show::ProposalInput;

namespace {

constexpr double kRateHz = 48000.0;
/// What propose() takes for one level: half a usual step of depth.
constexpr double kCloseDb = 0.25;

double level_db(const std::vector<Band>& cuts, double frequency_hz) {
  return base::amplitude_to_db(
      std::abs(cuts::response(cuts::to_setting(cuts), frequency_hz, kRateHz)));
}

ProposalInput ring_at(double frequency_hz, double depth_db = -6.0, const char* target = "") {
  ProposalInput input;
  input.target_text = target;
  input.wanted = {frequency_hz, 8.0, depth_db};
  return input;
}

/// What the engineer's equaliser looks like when a proposal was made, and its ring is among those
/// that were cut.
ProposalInput after(const ProposalInput& input, const Proposal& proposal, double next_hz) {
  ProposalInput next = input;
  next.cuts = proposal.cuts;
  next.rung.push_back({input.wanted.centre_hz, input.wanted.q});
  next.wanted.centre_hz = next_hz;
  return next;
}

std::size_t peaking_count(const std::vector<Band>& cuts) {
  return static_cast<std::size_t>(std::count_if(
      cuts.begin(), cuts.end(), [](const Band& cut) { return !cuts::is_high_pass(cut); }));
}

bool is_on_list(const std::vector<double>& list, double value) {
  return std::any_of(
      list.begin(), list.end(), [&](double entry) { return std::abs(entry - value) < 1e-9; });
}

void check_legal(const std::vector<Band>& cuts, const cuts::Target& target) {
  CHECK(peaking_count(cuts) <= static_cast<std::size_t>(target.bands));
  for (const Band& cut : cuts) {
    CAPTURE(show::cut_text(cut));
    if (cuts::is_high_pass(cut)) {
      CHECK(is_on_list(target.high_pass_hz, cut.centre_hz));
      continue;
    }
    CHECK(is_on_list(target.centres_hz, cut.centre_hz));
    CHECK(is_on_list(target.qs, cut.q));
    CHECK(cut.depth_db < 0.0);
    CHECK(cut.depth_db >= -12.0);
    const double steps = cut.depth_db / target.depth_step_db;
    CHECK(std::abs(steps - std::round(steps)) < 1e-9);
  }
}

}  // namespace

TEST_CASE(
    "on a flat parametric a ring gets a band of its own, as wide and as deep as it asks for") {
  const Proposal proposal = show::propose(ring_at(2631.0));
  CHECK(proposal.kind == Proposal::Kind::kAdds);
  REQUIRE(proposal.cuts.size() == 1);
  check_legal(proposal.cuts, show::to_target(""));
  CHECK(std::abs(std::log2(proposal.cut().centre_hz / 2631.0)) <=
        0.5 / 48.0 + 1e-9);  // half a step
  CHECK(proposal.cut().q <= 8.0 * 1.001);
  CHECK(proposal.cut().q >= 7.0);  // steps of Q are 9 %
  CHECK(level_db(proposal.cuts, 2631.0) <= -6.0 + kCloseDb);
  CHECK(proposal.cut().depth_db == -6.0);  // half a step of the centre beside it costs no depth
  CHECK(proposal.change_db == doctest::Approx(level_db(proposal.cuts, 2631.0)));
}

TEST_CASE("a ring that comes back at its cut deepens it, and only it") {
  const ProposalInput first = ring_at(2631.0);
  const Proposal cut = show::propose(first);
  ProposalInput again = after(first, cut, 2633.0);
  again.wanted.depth_db = -3.0;
  const Proposal proposal = show::propose(again);
  CHECK(proposal.kind == Proposal::Kind::kDeepens);
  REQUIRE(proposal.cuts.size() == 1);
  CHECK(proposal.cut().centre_hz == cut.cut().centre_hz);
  CHECK(proposal.cut().q == cut.cut().q);
  CHECK(level_db(proposal.cuts, 2633.0) <= level_db(cut.cuts, 2633.0) - 3.0 + kCloseDb);
  CHECK(proposal.cut().depth_db >= cut.cut().depth_db - 4.0);
}

TEST_CASE(
    "a ring that comes back beside its cut widens it, and the first place keeps what it had") {
  const ProposalInput first = ring_at(1000.0);
  const Proposal cut = show::propose(first);
  // Half an octave over 8 to either side of the middle are the cut's half-depth points.
  const double beside_hz = 1000.0 * std::exp2(0.08);
  const ProposalInput again = after(first, cut, beside_hz);
  const Proposal proposal = show::propose(again);
  CHECK(proposal.kind == Proposal::Kind::kWidens);
  REQUIRE(proposal.cuts.size() == 1);
  CHECK(proposal.cut().q <= cut.cut().q);
  CHECK(level_db(proposal.cuts, beside_hz) <= level_db(cut.cuts, beside_hz) - 6.0 + kCloseDb);
  CHECK(level_db(proposal.cuts, 1000.0) <= level_db(cut.cuts, 1000.0) + kCloseDb);
}

TEST_CASE("a ring elsewhere leaves the cuts that are there as they are") {
  const ProposalInput first = ring_at(1000.0);
  const Proposal cut = show::propose(first);
  const Proposal proposal = show::propose(after(first, cut, 2500.0));
  CHECK(proposal.kind == Proposal::Kind::kAdds);
  REQUIRE(proposal.cuts.size() == 2);
  CHECK(proposal.cuts[0] == cut.cuts[0]);
  CHECK(proposal.index == 1);
}

TEST_CASE("with all bands in use they are set anew, for every ring so far") {
  const std::vector<double> rings_hz{400.0, 700.0, 1300.0, 2600.0};
  ProposalInput input = ring_at(rings_hz[0], -6.0, "parametric-4");
  for (std::size_t next = 1; next < rings_hz.size(); ++next) {
    input = after(input, show::propose(input), rings_hz[next]);
  }
  input = after(input, show::propose(input), 3300.0);  // the fifth
  REQUIRE(input.cuts.size() == 4);
  const Proposal proposal = show::propose(input);
  CHECK(proposal.kind == Proposal::Kind::kRefits);
  check_legal(proposal.cuts, show::to_target("parametric-4"));
  CHECK(level_db(proposal.cuts, 3300.0) <= level_db(input.cuts, 3300.0) - 3.0 + 1e-6);
  for (const double ring_hz : rings_hz) {
    CAPTURE(ring_hz);
    CHECK(level_db(proposal.cuts, ring_hz) <= 0.5 * level_db(input.cuts, ring_hz) + 1e-6);
  }
  CHECK(show::propose(input) == proposal);  // the same every time
}

TEST_CASE("rumble takes the high-pass where there is one") {
  const Proposal proposal = show::propose(ring_at(45.0));
  REQUIRE(proposal.kind == Proposal::Kind::kAdds);
  CHECK(cuts::is_high_pass(proposal.cut()));
  CHECK(level_db(proposal.cuts, 45.0) <= -6.0 + kCloseDb);
  check_legal(proposal.cuts, show::to_target(""));

  const Proposal without =
      show::propose(ring_at(45.0, -6.0, "kind = parametric\nbands = 2\nfrequency = 20:20000\n"));
  CHECK(!cuts::is_high_pass(without.cut()));
}

TEST_CASE("a graphic moves its bands: one for a ring on its centre, two for one between") {
  const Proposal on_centre = show::propose(ring_at(1000.0, -6.0, "third-octave"));
  CHECK(on_centre.kind == Proposal::Kind::kAdds);
  CHECK(on_centre.cuts.size() == 1);
  CHECK(on_centre.cut().centre_hz == doctest::Approx(1000.0));
  CHECK(on_centre.cut().depth_db == doctest::Approx(-6.0));

  const double between_hz = 1000.0 * std::pow(10.0, 0.05);
  const ProposalInput input = ring_at(between_hz, -6.0, "third-octave");
  const Proposal between = show::propose(input);
  REQUIRE(between.cuts.size() == 2);
  CHECK(level_db(between.cuts, between_hz) <= -6.0 + kCloseDb);
  check_legal(between.cuts, show::to_target("third-octave"));

  ProposalInput return_of_it = after(input, between, between_hz);
  return_of_it.wanted.depth_db = -3.0;
  const Proposal again = show::propose(return_of_it);
  CHECK(again.kind == Proposal::Kind::kDeepens);
  CHECK(again.cuts.size() == 2);
}

TEST_CASE("where nothing helps it says so and proposes nothing") {
  ProposalInput input = ring_at(1000.0, -6.0, "kind = parametric\nbands = 1\nq = 4:8\n");
  input.cuts = {{1000.0, 8.0, -12.0}};
  input.rung = {{1000.0, 8.0}};
  const Proposal proposal = show::propose(input);
  CHECK(proposal.kind == Proposal::Kind::kCannot);
  CHECK(proposal.cuts == input.cuts);
  CHECK(!proposal.sentence.empty());
  input.target_text = "nonsense";
  CHECK_THROWS_AS((void)show::propose(input), base::Error);
}

namespace {

/// A number from 0 to 1 (Marsaglia's xorshift).
double next_ratio(std::uint64_t& state) {
  state ^= state << 13U;
  state ^= state >> 7U;
  state ^= state << 17U;
  return static_cast<double>(state >> 11U) / 9007199254740992.0;
}

/// False when nothing was proposed.
bool check_proposal(const ProposalInput& input, const Proposal& proposal) {
  check_legal(proposal.cuts, show::to_target(input.target_text));
  if (proposal.kind == Proposal::Kind::kCannot) {
    CHECK(proposal.cuts == input.cuts);
    return false;
  }
  REQUIRE(proposal.index < proposal.cuts.size());
  CHECK(proposal.change_db <= 0.25 * input.wanted.depth_db);
  for (const auto& place : input.rung) {
    const double before_db = level_db(input.cuts, place.frequency_hz);
    const double most_db =
        proposal.kind == Proposal::Kind::kRefits ? 0.5 * before_db : before_db + kCloseDb;
    CHECK(level_db(proposal.cuts, place.frequency_hz) <= most_db + 1e-6);
  }
  return true;
}

}  // namespace

TEST_CASE("whatever rings on whatever target: legal, of help, and little is given back") {
  std::uint64_t state = 88172645463325252U;
  for (const char* name : {"parametric", "parametric-4", "third-octave", "octave"}) {
    CAPTURE(name);
    ProposalInput input;
    for (int ring = 0; ring < 54; ++ring) {
      if (ring % 9 == 0) {
        input = ring_at(1000.0, -6.0, name);  // a flat equaliser
      }
      const double ring_hz = 60.0 * std::pow(100.0, next_ratio(state));
      const double q = 4.0 + 12.0 * next_ratio(state);
      input.wanted = {ring_hz, q, -3.0 * (1.0 + std::floor(3.0 * next_ratio(state)))};
      CAPTURE(ring_hz);
      const Proposal proposal = show::propose(input);
      if (check_proposal(input, proposal)) {
        input = after(input, proposal, ring_hz);
      }
    }
  }
}

TEST_CASE("every band that changes is told, with what it was") {
  const std::vector<Band> before{{400.0, 8.0, -6.0},
                                 {1000.0, 8.0, -3.0},
                                 {2000.0, 8.0, -3.0},
                                 cuts::to_band(cuts::HighPass{80.0})};
  const std::vector<Band> after{cuts::to_band(cuts::HighPass{80.0}),
                                {1000.0, 8.0, -6.0},
                                {2200.0, 4.0, -4.5},
                                {5000.0, 8.0, -3.0}};
  const auto changes = show::band_changes(before, after);
  REQUIRE(changes.size() == 4);
  const auto words = [&](std::size_t i) {
    return show::change_words(changes[i], cuts::Target::Kind::kParametric);
  };
  CHECK(words(0) == "400 Hz  Q 8  -6.0 dB, taken out");
  CHECK(words(1) == "1.00 kHz  Q 8  -6.0 dB, was -3.0 dB");
  CHECK(words(2) == "2.20 kHz  Q 4  -4.5 dB, was 2.00 kHz  Q 8  -3.0 dB");
  CHECK(words(3) == "5.00 kHz  Q 8  -3.0 dB, new");
  CHECK(show::band_changes(before, before).empty());
  CHECK(show::change_words({Band{1000.0, 4.3, -3.0}, Band{1000.0, 4.3, -6.0}},
                           cuts::Target::Kind::kGraphic) == "1 kHz  -6.0 dB, was -3.0 dB");
}

TEST_CASE("what stands of a logged cut: itself, the one that it became, or none") {
  const Band logged{2000.0, 8.0, -6.0};
  const std::vector<Band> same{{1900.0, 8.0, -3.0}, logged};
  CHECK(show::standing_cut(logged, same) == logged);
  const std::vector<Band> deeper{{400.0, 8.0, -3.0}, {2000.0, 8.0, -9.0}};
  CHECK(show::standing_cut(logged, deeper) == deeper[1]);
  const std::vector<Band> moved{{2600.0, 8.0, -9.0}, {2150.0, 4.0, -7.5}, {1700.0, 8.0, -9.0}};
  CHECK(show::standing_cut(logged, moved) == moved[1]);
  CHECK(show::standing_cut(logged, std::vector<Band>{{4000.0, 8.0, -6.0}}) == std::nullopt);
  CHECK(show::standing_cut(logged, std::vector<Band>{cuts::to_band(cuts::HighPass{2000.0})}) ==
        std::nullopt);
}
