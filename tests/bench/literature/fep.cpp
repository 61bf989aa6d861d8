#include <algorithm>
#include <array>

#include "bench/literature/measures.h"
#include "bench/literature/s1.h"

namespace brink::bench {

namespace {

constexpr double kMusicThreshold = 0.95;
constexpr std::size_t kLooks = 8;  // peakness over 8; IMSD with Q_M = 7 wants Q_M + 1

class Fep final : public S1Criterion {
 public:
  explicit Fep(const CriterionOptions& options)
      : S1Criterion{options.sample_rate_hz},
        threshold_{options.threshold.value_or(kMusicThreshold)} {}

  std::vector<Howl> look(std::span<const float> power) override {
    std::rotate(past_.begin(), past_.end() - 1, past_.end());
    past_.front().assign(power.begin(), power.end());
    std::vector<Howl> howls;
    if (past_.back().empty()) {
      return howls;
    }
    for (const std::size_t bin : largest_peaks(power, kLowestBin, kCandidates)) {
      if (judge(bin) >= threshold_) {
        howls.push_back({three_bin_position(power, bin)});
      }
    }
    return howls;
  }

 private:
  [[nodiscard]] double judge(std::size_t bin) const {
    std::array<double, kLooks> levels_db{};
    double peakness = 0.0;
    for (std::size_t back = 0; back < kLooks; ++back) {
      levels_db[back] = to_db(static_cast<double>(past_[back][bin]));
      peakness += sides_above_neighbours(past_[back], bin) / kLooks;
    }
    return fep(imsd_db(levels_db), peakness);
  }

  double threshold_;
  std::array<std::vector<float>, kLooks> past_;  ///< powers, newest first
};

}  // namespace

std::unique_ptr<Criterion> make_fep(const CriterionOptions& options) {
  return std::make_unique<Fep>(options);
}

}  // namespace brink::bench
