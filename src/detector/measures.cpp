#include "detector/measures.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace brink::detector {

namespace {

constexpr float kNone = -60.0F;     // "no such line", in dB relative to the track
constexpr float kHeldDb = 1.5F;     // a ring at the limiter stays this near its highest level
constexpr int kLongestHold = 62;    // hops, 1 s: after that the growth is history
constexpr float kAlongDb = 25.0F;   // lines further below do not count as rising along
constexpr float kSameLine = 0.01F;  // as a ratio: nearer lines are the track itself or its skirt
constexpr float kSameLineHz = 12.0F;
constexpr float kExactRatio =
    0.004F;  // 7 cents: how exactly partials fit, bins and stretch included

/// Sums of a least-squares line and of the parabola that is orthogonal to it, over equally spaced
/// looks at x = i - (n - 1) / 2.
struct Fit {
  float slope = 0.0F;  ///< per look
  float mean = 0.0F;
  float residual = 0.0F;   ///< root mean square, around the line
  float curvature = 0.0F;  ///< factor of x^2 - mean(x^2)
};

/// Sums in four lanes, which the compiler can keep side by side without reordering anything.
template <typename Term>
float sum_over(int count, Term term) noexcept {
  std::array<float, 4> lanes{};
  int i = 0;
  for (; i + 4 <= count; i += 4) {
    for (int lane = 0; lane < 4; ++lane) {
      lanes[static_cast<std::size_t>(lane)] += term(i + lane);
    }
  }
  float rest = 0.0F;
  for (; i < count; ++i) {
    rest += term(i);
  }
  return (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]) + rest;
}

/// `values`: newest first.
Fit fit(std::span<const float> values) noexcept {
  const auto count = static_cast<int>(values.size());
  const auto n = static_cast<float>(count);
  const float centre = (n - 1.0F) / 2.0F;
  const float sum_xx = n * (n * n - 1.0F) / 12.0F;
  const float mean_xx = sum_xx / n;
  const float* const y = values.data();
  const auto x = [centre](int i) { return centre - static_cast<float>(i); };
  Fit result;
  result.mean = sum_over(count, [&](int i) { return y[i]; }) / n;
  result.slope = sum_over(count, [&](int i) { return x(i) * y[i]; }) / sum_xx;
  const auto off = [&](int i) { return y[i] - result.mean - result.slope * x(i); };
  const auto parabola = [&](int i) { return x(i) * x(i) - mean_xx; };
  // The sum of the parabola's squares has a closed form for equally spaced looks.
  const float sum_uu = n * (n * n - 1.0F) * (n * n - 4.0F) / 180.0F;
  result.residual = std::sqrt(sum_over(count, [&](int i) { return off(i) * off(i); }) / n);
  result.curvature = sum_over(count, [&](int i) { return parabola(i) * off(i); }) / sum_uu;
  return result;
}

float band_power(const Spectrum& spectrum, float frequency_hz) noexcept {
  const auto power = spectrum.power();
  const auto width = static_cast<float>(spectrum.bin_width_hz());
  const auto first = static_cast<std::size_t>(frequency_hz * 0.8913F / width);
  const auto last =
      std::min(power.size() - 1, static_cast<std::size_t>(frequency_hz * 1.1220F / width));
  float sum = 1e-20F;
  for (std::size_t k = first; k <= last; ++k) {
    sum += power[k];
  }
  return sum / 1.5F;  // the Hann window spreads a line's power over 1.5 bins
}

float semitones_of(float frequency_hz) noexcept {
  return 12.0F * std::log2(std::max(frequency_hz, 20.0F));
}

/// Whether `ratio` is a whole number 2 .. 8 within kExactRatio.
bool is_whole(float ratio) noexcept {
  const float nearest = std::rint(ratio);
  return nearest >= 2.0F && nearest <= 8.0F && std::abs(ratio - nearest) < kExactRatio * nearest;
}

}  // namespace

int held_hops(const Track& track) noexcept {
  const int reach = std::min(track.history_hops() - 1, kLongestHold);
  float highest = track.look(0).level_dbfs;
  int held = 0;
  for (int back = 1; back <= reach; ++back) {
    const float level = track.look(back).level_dbfs;
    if (level > highest + kHeldDb) {
      return 0;  // it has been higher: it falls
    }
    if (level < highest - kHeldDb) {
      break;
    }
    highest = std::max(highest, level);
    held = back;
  }
  return track.look(0).level_dbfs >= highest - kHeldDb ? held : 0;
}

bool has_line(const Scale& scale,
              const Track& track,
              std::size_t span_index,
              int end_hops) noexcept {
  constexpr float kLeastRiseDb = 6.0F;  // less growth than this is not looked at
  // Over less than a window every attack looks like a line: it is the window that one sees.
  const double span_s = kSpans[span_index] * scale.spectrum.hop_s();
  return span_s >= static_cast<double>(scale.window_s()) &&
         track.look(end_hops).level_dbfs - track.look(end_hops + kSpans[span_index]).level_dbfs >=
             kLeastRiseDb;
}

Surroundings::Surroundings() {
  constexpr std::size_t kMostLines = 3 * Tracks::kMaxTracks;
  lines_.frequency_hz.resize(kMostLines);
  lines_.level_dbfs.resize(kMostLines);
  lines_.semitones.resize(kMostLines);
  lines_.age_hops.resize(kMostLines);
  for (auto& rises : lines_.rise_db) {
    rises.resize(kMostLines);
  }
}

void Surroundings::gather(std::span<const Scale> scales) noexcept {
  count_ = 0;
  float total = 1e-12F;
  for (const Scale& scale : scales) {
    for (const Track* track : scale.tracks.live()) {
      if (track->look(0).is_peak() && track->frequency_hz >= scale.lowest_hz &&
          track->frequency_hz < scale.highest_hz) {
        add_line(*track);
      }
    }
    total += scale.total_power();
  }
  total_db_[static_cast<std::size_t>(hops_ % Track::kHistory)] = 10.0F * std::log10(total);
  ++hops_;
}

void Surroundings::add_line(const Track& track) noexcept {
  const float level = track.look(0).level_dbfs;
  lines_.frequency_hz[count_] = track.frequency_hz;
  lines_.level_dbfs[count_] = level;
  lines_.semitones[count_] = semitones_of(track.frequency_hz);
  lines_.age_hops[count_] = static_cast<float>(track.age_hops);
  for (std::size_t i = 0; i < kSpans.size(); ++i) {
    // A line born within the span rose from nothing: as far as counts here.
    const float since_birth = track.age_hops > 3 ? kAlongDb : 0.0F;
    lines_.rise_db[i][count_] =
        track.history_hops() > kSpans[i] ? level - track.look(kSpans[i]).level_dbfs : since_birth;
  }
  ++count_;
}

Company Surroundings::company_of(const Track& track) const noexcept {
  Company company;
  const float frequency = track.frequency_hz;
  const float self = std::max(kSameLineHz, kSameLine * frequency);
  float fundamental_dbfs = track.look(0).level_dbfs + kNone;
  float partial_dbfs = fundamental_dbfs;
  for (std::size_t i = 0; i < count_; ++i) {
    const float level = lines_.level_dbfs[i];
    const float other = lines_.frequency_hz[i];
    if (std::abs(other - frequency) < self) {
      continue;
    }
    company.loudest_dbfs = std::max(company.loudest_dbfs, level);
    if (level > fundamental_dbfs && other < frequency && is_whole(frequency / other)) {
      fundamental_dbfs = level;
      company.fundamental = static_cast<int>(i);
    }
    if (level > partial_dbfs && other > frequency && is_whole(other / frequency)) {
      partial_dbfs = level;
      company.partial = static_cast<int>(i);
    }
  }
  meet(track, company);
  return company;
}

/// Counts the lines that were born along, and how well the neighbours are in tune.
void Surroundings::meet(const Track& track, Company& company) const noexcept {
  constexpr float kAlongHops = 3.0F;
  constexpr float kOctave = 12.0F;
  const float self = std::max(kSameLineHz, kSameLine * track.frequency_hz);
  const float least_dbfs = track.look(0).level_dbfs - kAlongDb;
  const float semitones = semitones_of(track.frequency_hz);
  const auto age = static_cast<float>(track.age_hops);
  float tuned = 0.0F;
  for (std::size_t i = 0; i < count_; ++i) {
    if (lines_.level_dbfs[i] < least_dbfs ||
        std::abs(lines_.frequency_hz[i] - track.frequency_hz) < self) {
      continue;
    }
    company.born_along += std::abs(lines_.age_hops[i] - age) <= kAlongHops ? 1.0F : 0.0F;
    const float apart = std::abs(lines_.semitones[i] - semitones);
    if (apart <= kOctave) {
      company.neighbours += 1.0F;
      tuned += 1.0F - 4.0F * std::abs(apart - std::rint(apart));
    }
  }
  company.in_tune = tuned / std::max(company.neighbours, 1.0F);
}

Measures Surroundings::measure(const Scale& scale,
                               const Track& track,
                               const Company& company,
                               std::size_t span_index,
                               int end_hops) const noexcept {
  const int span = kSpans[span_index];
  const int count = span + 1;
  const auto hop_s = static_cast<float>(scale.spectrum.hop_s());
  // Filled below as far as they are read; clearing them first shows in the speed.
  std::array<float, kSpans.back() + 1> levels;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  std::array<float, kSpans.back() + 1> phases;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  const float newest_phase = track.look(end_hops).phase;
  int seen = 0;
  float prominence = 0.0F;
  for (int back = 0; back < count; ++back) {
    const Track::Look& look = track.look(end_hops + back);
    levels[static_cast<std::size_t>(back)] = look.level_dbfs;
    phases[static_cast<std::size_t>(back)] = look.phase - newest_phase;
    seen += look.is_peak() ? 1 : 0;
    prominence += look.prominence_db;
  }
  const auto length = static_cast<std::size_t>(count);
  const Fit level = fit({levels.data(), length});
  const Fit phase = fit({phases.data(), length});
  const auto spans = static_cast<float>(span);
  const float turns_per_radian = 1.0F / (2.0F * std::numbers::pi_v<float> * hop_s);

  Measures m;
  m.span_s = spans * hop_s;
  m.rise_db = level.slope * spans;
  m.residual_db = level.residual;
  m.bow_db = level.curvature * spans * spans / 4.0F;
  m.held_s = static_cast<float>(end_hops) * hop_s;
  m.frequency_hz = track.reference_hz + phase.slope * turns_per_radian;
  m.wobble_rad = phase.residual;
  m.drift_hz = 2.0F * phase.curvature * spans * turns_per_radian;
  const Track::Look& now = track.look(0);
  m.level_dbfs = now.level_dbfs;
  m.impurity_db = track.impurity_db;
  m.lean_db = 2.0F * levels[static_cast<std::size_t>(span / 2)] - levels[length - 1] - levels[0];
  m.seen_share = static_cast<float>(seen) / static_cast<float>(count);
  m.prominence_db = prominence / static_cast<float>(count);
  for (std::size_t back = 0; back + 4 < length; ++back) {
    m.step_db = std::max(m.step_db, levels[back] - levels[back + 4]);
  }
  m.since_birth_db = now.level_dbfs - track.birth_level_dbfs;
  m.age_s = static_cast<float>(track.age_hops) * hop_s;
  m.band_share_db = now.level_dbfs - 10.0F * std::log10(band_power(scale.spectrum, m.frequency_hz));
  const int total_back = std::min(span + end_hops, std::min(hops_, Track::kHistory) - 1);
  m.total_rise_db = total_db_[static_cast<std::size_t>((hops_ - 1) % Track::kHistory)] -
                    total_db_[static_cast<std::size_t>((hops_ - 1 - total_back) % Track::kHistory)];
  describe_company(track, company, span_index, m);
  return m;
}

void Surroundings::describe_company(const Track& track,
                                    const Company& company,
                                    std::size_t span_index,
                                    Measures& m) const noexcept {
  const float level = track.look(0).level_dbfs;
  const std::vector<float>& rises = lines_.rise_db[span_index];
  m.over_others_db = level - company.loudest_dbfs;
  m.born_along = company.born_along;
  m.neighbours = company.neighbours;
  m.in_tune = company.in_tune;
  m.fundamental_db = m.partial_db = kNone;
  if (company.fundamental >= 0) {
    const auto i = static_cast<std::size_t>(company.fundamental);
    m.fundamental_db = lines_.level_dbfs[i] - level;
    m.fundamental_rise_db = rises[i];
  }
  if (company.partial >= 0) {
    const auto i = static_cast<std::size_t>(company.partial);
    m.partial_db = lines_.level_dbfs[i] - level;
    m.partial_rise_db = rises[i];
  }
  const float self = std::max(kSameLineHz, kSameLine * track.frequency_hz);
  const float least_dbfs = level - kAlongDb;
  const float least_rise_db = 0.5F * m.rise_db;
  int risers = 0;
  for (std::size_t i = 0; i < count_; ++i) {
    risers += static_cast<int>(lines_.level_dbfs[i] > least_dbfs) &
              static_cast<int>(rises[i] > least_rise_db) &
              static_cast<int>(std::abs(lines_.frequency_hz[i] - track.frequency_hz) >= self);
  }
  m.risers = static_cast<float>(risers);
}

}  // namespace brink::detector
