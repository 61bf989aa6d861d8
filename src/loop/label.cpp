#include "loop/label.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "base/units.h"
#include "loop/band_limits.h"

namespace brink::loop {

namespace {

constexpr double kPi = std::numbers::pi;
// Resolves about 13 Hz; short compared with a second of growth.
constexpr double kToneWindowS = 0.15;
// Long enough that a pause between two words does not count as silence.
constexpr double kProgrammeWindowS = 1.0;

// Level of one frequency around a moment, measured with a Hann window.
class ToneLevel {
 public:
  ToneLevel(std::span<const float> samples, double sample_rate_hz)
      : samples_{samples},
        sample_rate_hz_{sample_rate_hz},
        half_{static_cast<std::int64_t>(0.5 * kToneWindowS * sample_rate_hz)} {
    for (std::int64_t n = -half_; n < half_; ++n) {
      window_.push_back(0.5 +
                        0.5 * std::cos(kPi * static_cast<double>(n) / static_cast<double>(half_)));
    }
  }

  double at_dbfs(double time_s, double frequency_hz) const {
    const auto centre = static_cast<std::int64_t>(time_s * sample_rate_hz_);
    const auto first = std::max<std::int64_t>(0, centre - half_);
    const auto last = std::min(static_cast<std::int64_t>(samples_.size()), centre + half_);
    const std::complex<double> turn = std::polar(1.0, -2.0 * kPi * frequency_hz / sample_rate_hz_);
    std::complex<double> phasor = 1.0;
    std::complex<double> sum;
    double weight = 0.0;
    for (std::int64_t n = first; n < last; ++n) {
      const double window = window_[static_cast<std::size_t>(n - centre + half_)];
      sum += window * static_cast<double>(samples_[static_cast<std::size_t>(n)]) * phasor;
      phasor *= turn;
      weight += window;
    }
    return weight > 0.0 ? base::amplitude_to_db(2.0 * std::abs(sum) / weight) : base::kSilenceDb;
  }

 private:
  std::span<const float> samples_;
  double sample_rate_hz_;
  std::int64_t half_;
  std::vector<double> window_;
};

// Running power of the programme in the third-octave around a frequency, given as the level of a
// sine with the same power.
class BandLevel {
 public:
  BandLevel(std::span<const float> samples, double frequency_hz, double sample_rate_hz)
      : sample_rate_hz_{sample_rate_hz}, power_sum_(samples.size() + 1) {
    std::vector<double> band(samples.begin(), samples.end());
    const double edge = std::pow(10.0, 1.0 / 20.0);
    const double high_hz = std::min(frequency_hz * edge, 0.49 * sample_rate_hz);
    for (int pass = 0; pass < 2; ++pass) {
      apply({std::min(frequency_hz, high_hz) / edge, high_hz}, sample_rate_hz, band);
    }
    for (std::size_t n = 0; n < band.size(); ++n) {
      power_sum_[n + 1] = power_sum_[n] + band[n] * band[n];
    }
  }

  double at_dbfs(double time_s) const {
    const double half = 0.5 * kProgrammeWindowS * sample_rate_hz_;
    const double centre = time_s * sample_rate_hz_;
    const auto end = static_cast<double>(power_sum_.size() - 1);
    const auto first = static_cast<std::size_t>(std::clamp(centre - half, 0.0, end));
    const auto last = static_cast<std::size_t>(std::clamp(centre + half, 0.0, end));
    if (last <= first) {
      return base::kSilenceDb;
    }
    return base::power_to_db(2.0 * (power_sum_[last] - power_sum_[first]) /
                             static_cast<double>(last - first));
  }

 private:
  double sample_rate_hz_;
  std::vector<double> power_sum_;
};

RingLabel label(const NearBrink& near,
                std::span<const float> closed,
                std::span<const float> open,
                double sample_rate_hz) {
  RingLabel ring;
  ring.frequency_hz = near.highest.frequency_hz;
  ring.pole_hz = near.pole ? near.pole->frequency_hz : near.highest.frequency_hz;
  ring.unstable_s = near.unstable_s;
  ring.stable_again_s = near.stable_again_s;
  ring.low_hz = near.low_hz;
  ring.high_hz = near.high_hz;
  ring.excess_db = near.highest.gain_db;
  ring.growth_db_per_s = near.pole ? near.pole->growth_db_per_s : 0.0;
  ring.peak_dbfs = base::kSilenceDb;
  const ToneLevel loudness{closed, sample_rate_hz};
  const BandLevel programme{open, near.highest.frequency_hz, sample_rate_hz};
  bool is_dominant = false;
  for (const NearBrink::Moment& moment : near.path) {
    if (moment.time_s < near.unstable_s ||
        (near.stable_again_s != kNeverS && moment.time_s > near.stable_again_s)) {
      continue;
    }
    const double tone = loudness.at_dbfs(moment.time_s, moment.frequency_hz);
    ring.peak_dbfs = std::max(ring.peak_dbfs, tone);
    const bool stands_out = tone >= programme.at_dbfs(moment.time_s) + kDominantDb;
    if (stands_out && !is_dominant) {
      ring.dominant_s = moment.time_s;
    }
    is_dominant = stands_out;
  }
  // A ring must stand out until its end, and for at least the length of the tone window.
  if (!is_dominant || near.path.back().time_s - ring.dominant_s < kToneWindowS) {
    ring.dominant_s = kNeverS;
  }
  return ring;
}

// If the louder of two tones grows fast, the tone window cannot separate them below this distance.
constexpr double kApartHz = 3.0 / kToneWindowS;

bool is_near(const RingLabel& a, const RingLabel& b) noexcept {
  return a.low_hz < b.high_hz + kApartHz && b.low_hz < a.high_hz + kApartHz;
}

// `rings`: loudest first. A ring beside a louder one is joined to it and widens its range.
std::vector<RingLabel> told_apart(const std::vector<RingLabel>& rings) {
  std::vector<RingLabel> apart;
  for (const RingLabel& ring : rings) {
    const auto louder = std::find_if(
        apart.begin(), apart.end(), [&](const RingLabel& other) { return is_near(ring, other); });
    if (louder == apart.end()) {
      apart.push_back(ring);
    } else if (ring.dominant_s != kNeverS) {
      louder->low_hz = std::min(louder->low_hz, ring.low_hz);
      louder->high_hz = std::max(louder->high_hz, ring.high_hz);
    }
  }
  return apart;
}

}  // namespace

std::vector<RingLabel> label_rings(const LoopTruth& truth,
                                   std::span<const float> closed,
                                   std::span<const float> open,
                                   double sample_rate_hz) {
  std::vector<RingLabel> rings;
  for (const NearBrink& near : truth.near_brink) {
    if (near.unstable_s != kNeverS) {
      rings.push_back(label(near, closed, open, sample_rate_hz));
    }
  }
  std::stable_sort(rings.begin(), rings.end(), [](const RingLabel& a, const RingLabel& b) {
    return a.peak_dbfs > b.peak_dbfs;
  });
  rings = told_apart(rings);
  const double least_dbfs = rings.empty() ? 0.0 : rings.front().peak_dbfs - kMaskedDb;
  rings.erase(std::remove_if(rings.begin(),
                             rings.end(),
                             [&](const RingLabel& ring) {
                               return ring.dominant_s == kNeverS || ring.peak_dbfs < least_dbfs;
                             }),
              rings.end());
  return rings;
}

}  // namespace brink::loop
