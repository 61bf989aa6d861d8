#include "ear/band_choice.h"

#include <algorithm>
#include <numeric>

#include "base/units.h"
#include "ear/score.h"

namespace brink::ear {

std::array<double, kEarBandCount> band_shares(std::span<const show::GuessRecord> guesses,
                                              std::string_view trainee) {
  std::array<int, kEarBandCount> counts{};
  std::array<int, kEarBandCount> misses{};
  std::for_each(guesses.rbegin(), guesses.rend(), [&](const show::GuessRecord& guess) {
    if (guess.trainee != trainee || !(guess.true_hz > 0.0) || !(guess.guessed_hz > 0.0)) {
      return;
    }
    const int band = base::third_octave_index(guess.true_hz);
    if (band < kFirstEarBand || band > kLastEarBand) {
      return;
    }
    const auto at = static_cast<std::size_t>(band - kFirstEarBand);
    if (counts[at] < kBandMemory) {
      ++counts[at];
      misses[at] += is_within_third_octave(guess.guessed_hz, guess.true_hz) ? 0 : 1;
    }
  });
  std::array<double, kEarBandCount> shares{};
  for (std::size_t at = 0; at < shares.size(); ++at) {
    shares[at] = (misses[at] + 1.0) / (counts[at] + 2.0);
  }
  const double sum = std::accumulate(shares.begin(), shares.end(), 0.0);
  for (double& share : shares) {
    share /= sum;
  }
  return shares;
}

int choose_band(const std::array<double, kEarBandCount>& shares, double uniform) noexcept {
  double left = uniform;
  for (int band = kFirstEarBand; band < kLastEarBand; ++band) {
    left -= shares[static_cast<std::size_t>(band - kFirstEarBand)];
    if (left < 0.0) {
      return band;
    }
  }
  return kLastEarBand;
}

}  // namespace brink::ear
