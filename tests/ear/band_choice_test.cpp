#include "ear/band_choice.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>

#include "base/units.h"
#include "loop/random.h"

using namespace brink;
using namespace brink::ear;

namespace {

show::GuessRecord guess(int band, bool is_right, const std::string& trainee = "Ada") {
  show::GuessRecord record;
  record.trainee = trainee;
  record.true_hz = base::third_octave_centre_hz(band);
  record.guessed_hz = is_right ? record.true_hz : 2.0 * record.true_hz;
  return record;
}

double share_of(const std::array<double, kEarBandCount>& shares, int band) {
  return shares[static_cast<std::size_t>(band - kFirstEarBand)];
}

}  // namespace

TEST_CASE("without a past every band comes up as often as the next") {
  const auto shares = band_shares({}, "Ada");
  for (const double share : shares) {
    CHECK(share == doctest::Approx(1.0 / kEarBandCount));
  }
}

TEST_CASE("a weak band comes up as much more often as the rule says") {
  std::vector<show::GuessRecord> past;
  for (int i = 0; i < kBandMemory; ++i) {
    for (int band = kFirstEarBand; band <= kLastEarBand; ++band) {
      const bool is_weak = band == -3 || band == 4;
      past.push_back(guess(band, !is_weak));
      past.push_back(guess(band, is_weak, "somebody else"));
    }
  }
  const auto shares = band_shares(past, "Ada");
  // By hand: 17 bands of weight 1/10 and two of 9/10 are 3.5 in all.
  CHECK(share_of(shares, -3) == doctest::Approx(0.9 / 3.5));
  CHECK(share_of(shares, 0) == doctest::Approx(0.1 / 3.5));
  CHECK(std::accumulate(shares.begin(), shares.end(), 0.0) == doctest::Approx(1.0));

  // And that is what is drawn: within four standard deviations of a count.
  constexpr int kDraws = 20000;
  std::array<int, kEarBandCount> counts{};
  loop::Random random{3};
  for (int i = 0; i < kDraws; ++i) {
    ++counts[static_cast<std::size_t>(choose_band(shares, random.uniform()) - kFirstEarBand)];
  }
  for (std::size_t at = 0; at < counts.size(); ++at) {
    const double expected = kDraws * shares[at];
    CHECK(std::abs(counts[at] - expected) < 4.0 * std::sqrt(expected * (1.0 - shares[at])));
  }
}

TEST_CASE("only the newest guesses of a band count, and guesses elsewhere do no harm") {
  std::vector<show::GuessRecord> past;
  for (int i = 0; i < 50; ++i) {
    past.push_back(guess(0, false));
  }
  for (int i = 0; i < kBandMemory; ++i) {
    past.push_back(guess(0, true));
  }
  past.push_back(guess(kLastEarBand + 3, false));
  past.push_back(guess(0, false));
  past.back().true_hz = 0.0;  // what a book gives back for a number that it could not keep
  const auto shares = band_shares(past, "Ada");
  CHECK(share_of(shares, 0) / share_of(shares, 1) == doctest::Approx(0.1 / 0.5));
}

TEST_CASE("the ends of the numbers fall on the first and the last band") {
  const auto shares = band_shares({}, "Ada");
  CHECK(choose_band(shares, 0.0) == kFirstEarBand);
  CHECK(choose_band(shares, std::nextafter(1.0, 0.0)) == kLastEarBand);
}
