#include "cuts/link/guard.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "base/units.h"
#include "cuts/setting.h"

using namespace brink;
using namespace brink::cuts;

namespace {

/// The truth, without the guard's own arithmetic: the digital filters' responses (cuts/setting) on
/// 30000 frequencies, 1 Hz to just below half the sample rate.
double searched_rise_db(const std::vector<Cut>& before,
                        const std::vector<Cut>& after,
                        double sample_rate_hz) {
  constexpr int kPoints = 30000;
  const double highest_hz = std::min(22000.0, 0.49 * sample_rate_hz);
  double most_db = 0.0;
  for (int i = 0; i <= kPoints; ++i) {
    const double hz = std::pow(highest_hz, static_cast<double>(i) / kPoints);
    const double rise = std::abs(response(Setting{{}, after}, hz, sample_rate_hz)) /
                        std::abs(response(Setting{{}, before}, hz, sample_rate_hz));
    most_db = std::max(most_db, base::amplitude_to_db(rise));
  }
  return most_db;
}

struct Draw {
  std::mt19937_64 random;

  double between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  }

  Cut cut() {
    const double hz = 30.0 * std::pow(500.0, between(0.0, 1.0));
    const double q = 0.4 * std::pow(75.0, between(0.0, 1.0));
    return {hz, q, between(-15.0, between(0.0, 1.0) < 0.2 ? 12.0 : 0.0)};
  }
};

}  // namespace

TEST_CASE("a cut taken out comes up by its whole depth, at its centre") {
  const Rise rise = highest_rise(std::vector<Cut>{{1000.0, 8.0, -6.0}}, {});
  CHECK(rise.db == doctest::Approx(6.0));
  CHECK(rise.at_hz == doctest::Approx(1000.0).epsilon(1e-3));
}

TEST_CASE("what is only deepened, added or widened comes up nowhere") {
  const std::vector<Cut> before{{1000.0, 8.0, -6.0}, {300.0, 2.0, 4.0}};
  std::vector<Cut> after = before;
  after[0].depth_db = -9.0;
  CHECK(highest_rise(before, after).db == doctest::Approx(0.0));
  after[0].q = 4.0;
  CHECK(highest_rise(before, after).db == doctest::Approx(0.0).epsilon(1e-9));
  after.push_back({5000.0, 10.0, -3.0});
  CHECK(highest_rise(before, after).db == doctest::Approx(0.0).epsilon(1e-9));
}

TEST_CASE("a cut that moves comes up where it was") {
  // Far apart, what is left at 1 kHz of a cut at 4 kHz with Q 10 is its skirt: u = 10 (4 - 1/4) =
  // 37.5, A^2 = 10^(-6/20): 10 lg((u^2 + A^2) / (u^2 + 1/A^2)) = -0.0046 dB.
  const Rise rise =
      highest_rise(std::vector<Cut>{{1000.0, 10.0, -6.0}}, std::vector<Cut>{{4000.0, 10.0, -6.0}});
  CHECK(rise.db == doctest::Approx(6.0 - 0.0046).epsilon(2e-4));
  CHECK(rise.at_hz == doctest::Approx(1000.0).epsilon(1e-2));
}

TEST_CASE("the order of bands and what stays do not count") {
  const std::vector<Cut> before{{100.0, 2.0, -3.0}, {200.0, 2.0, -3.0}};
  const std::vector<Cut> after{{200.0, 2.0, -3.0}, {100.0, 2.0, -3.0}};
  CHECK(highest_rise(before, after).db == 0.0);
}

TEST_CASE("no rise of a response escapes the guard") {
  // Property over 30 drawn pairs of settings; half of the pairs differ by a little, as they do near
  // the limit. 0.01 dB is what the search itself may miss between two of its points.
  Draw draw{std::mt19937_64(17)};
  double most_missed_db = 0.0;
  for (int pair = 0; pair < 30; ++pair) {
    std::vector<Cut> before;
    for (int band = 0; band < 4; ++band) {
      before.push_back(draw.cut());
    }
    std::vector<Cut> after = before;
    if (pair % 2 == 0) {
      after[0] = draw.cut();
      after[1].depth_db -= draw.between(0.0, 6.0);
    } else {
      after[0].centre_hz *= std::pow(2.0, draw.between(-0.02, 0.02));
      after[1].q *= std::pow(2.0, draw.between(-0.1, 0.1));
      after[2].depth_db -= draw.between(0.0, 1.0);
    }
    const double guarded_db = highest_rise(before, after).db;
    for (const double rate_hz : {44100.0, 48000.0, 96000.0, 384000.0}) {
      const double true_db = searched_rise_db(before, after, rate_hz);
      most_missed_db = std::max(most_missed_db, true_db - guarded_db);
      CHECK(guarded_db >= true_db - 0.01);
    }
    // It does not cry wolf either: the larger of the two ends of the range is what it says.
    const double ends_db =
        std::max(searched_rise_db(before, after, 44100.0), searched_rise_db(before, after, 1.0e7));
    CHECK(guarded_db <= ends_db + 0.05);
  }
  MESSAGE("most that the guard missed, dB: ", most_missed_db);
}
