#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "bench/literature/criteria.h"
#include "bench/literature/measures.h"
#include "bench/literature/s1.h"

namespace brink::bench {

namespace {

constexpr std::array kMultiples{0.5, 1.5, 2.0, 3.0, 4.0};
constexpr double kPhprDb = 30.0;
constexpr std::size_t kLooks = 5;
constexpr int kNeededLooks = 3;

class PhprIpmp final : public S1Criterion {
 public:
  explicit PhprIpmp(const CriterionOptions& options)
      : S1Criterion{options.sample_rate_hz}, threshold_db_{options.threshold.value_or(kPhprDb)} {}

  std::vector<Howl> look(std::span<const float> power) override {
    std::rotate(candidates_.begin(), candidates_.end() - 1, candidates_.end());
    candidates_.front() = largest_peaks(power, kLowestBin, kCandidates);
    std::vector<Howl> howls;
    for (const std::size_t bin : candidates_.front()) {
      if (stands_over_harmonics(power, bin) && looks_with(bin) >= kNeededLooks) {
        howls.push_back({three_bin_position(power, bin)});
      }
    }
    return howls;
  }

 private:
  [[nodiscard]] bool stands_over_harmonics(std::span<const float> power, std::size_t bin) const {
    return std::all_of(kMultiples.begin(), kMultiples.end(), [&](double multiple) {
      return phpr_db(power, bin, multiple) >= threshold_db_;
    });
  }

  [[nodiscard]] int looks_with(std::size_t bin) const {
    return static_cast<int>(
        std::count_if(candidates_.begin(), candidates_.end(), [bin](const auto& look) {
          return std::find(look.begin(), look.end(), bin) != look.end();
        }));
  }

  double threshold_db_;
  std::array<std::vector<std::size_t>, kLooks> candidates_;  ///< newest first
};

}  // namespace

std::unique_ptr<Criterion> make_phpr_ipmp(const CriterionOptions& options) {
  return std::make_unique<PhprIpmp>(options);
}

}  // namespace brink::bench
