#include "detector/long_window.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "base/vector_fft.h"
#include "detector/straight.h"

namespace brink::detector {

namespace {

constexpr float kReachHz = 1.5F;       // half a bin of the longest other window
constexpr float kSameLineHz = 0.4F;    // from one look to the next
constexpr float kAlongDb = 25.0F;      // further below a line does not count as standing along
constexpr float kFarBelowDb = 60.0F;   // nothing else counts as if it were so far below
constexpr std::int16_t kMostAge = 64;  // looks; older is all the same

constexpr std::array<const char*, LongLine::kMeasures> kLongMeasureNames{"prominence, dB",
                                                                         "mean prominence, dB",
                                                                         "impurity, dB",
                                                                         "age, log2 looks",
                                                                         "scatter, log10 dB",
                                                                         "slope, dB a look",
                                                                         "wander, log10 Hz",
                                                                         "share of level, dB",
                                                                         "standers, log2",
                                                                         "over others, dB",
                                                                         "older, log2"};

int window_samples(double sample_rate_hz) {
  return base::fast_fft_size(static_cast<int>(std::lround(LongWindow::kWindowS * sample_rate_hz)));
}

}  // namespace

std::span<const char* const, LongLine::kMeasures> long_measure_names() noexcept {
  return kLongMeasureNames;
}

LongWindow::LongWindow(double sample_rate_hz, int hop_samples)
    : spectrum_{sample_rate_hz, window_samples(sample_rate_hz), kHopsPerLook * hop_samples},
      finder_{{static_cast<int>(std::ceil(kLowestHz / spectrum_.bin_width_hz())),
               static_cast<int>(kHighestHz / spectrum_.bin_width_hz())},
              spectrum_.bin_count()},
      samples_(static_cast<std::size_t>(kHopsPerLook * hop_samples)),
      peaks_(kMostLines),
      looks_(kLooks) {}

void LongWindow::advance(std::span<const float> hop) noexcept {
  assert(filled_ + hop.size() <= samples_.size());
  std::copy(hop.begin(), hop.end(), samples_.begin() + static_cast<std::ptrdiff_t>(filled_));
  filled_ += hop.size();
  if (filled_ == samples_.size()) {
    filled_ = 0;
    spectrum_.advance(samples_);
    take_look();
    count_held_lines();
  }
}

void LongWindow::take_look() noexcept {
  const std::size_t count = finder_.find(spectrum_, peaks_);
  const Look& before = look(0);
  newest_ = (newest_ + 1) % kLooks;
  Look& now = looks_[newest_];
  now.count = count;
  std::size_t first = 0;  // both looks rise in frequency
  for (std::size_t i = 0; i < count; ++i) {
    const Peak& peak = peaks_[i];
    Line& line = now.lines[i];
    line = {peak.frequency_hz, peak.level_dbfs, peak.prominence_db, peak.impurity_db, -1, 1};
    while (first < before.count &&
           before.lines[first].frequency_hz < peak.frequency_hz - kSameLineHz) {
      ++first;
    }
    float nearest_hz = kSameLineHz;
    for (std::size_t j = first; j < before.count; ++j) {
      const float distance_hz = std::abs(before.lines[j].frequency_hz - peak.frequency_hz);
      if (before.lines[j].frequency_hz > peak.frequency_hz + kSameLineHz) {
        break;
      }
      if (distance_hz <= nearest_hz) {
        nearest_hz = distance_hz;
        line.before = static_cast<std::int16_t>(j);
      }
    }
    if (line.before >= 0) {
      const auto age = before.lines[static_cast<std::size_t>(line.before)].age;
      line.age = static_cast<std::int16_t>(std::min<int>(age + 1, kMostAge));
    }
  }
}

void LongWindow::count_held_lines() noexcept {
  constexpr std::int16_t kHeldLooks = 3;
  constexpr float kProminenceDb = 12.0F;
  const std::span<const Line> lines = look(0).all();
  held_lines_ = static_cast<int>(std::count_if(lines.begin(), lines.end(), [](const Line& line) {
    return line.age >= kHeldLooks && line.prominence_db > kProminenceDb;
  }));
}

std::optional<LongLine> LongWindow::line_at(float frequency_hz, float level_dbfs) const noexcept {
  const std::span<const Line> lines = look(0).all();
  const auto first = std::lower_bound(
      lines.begin(), lines.end(), frequency_hz - kReachHz, [](const Line& line, float hz) {
        return line.frequency_hz < hz;
      });
  const Line* loudest = nullptr;
  for (auto line = first; line != lines.end() && line->frequency_hz <= frequency_hz + kReachHz;
       ++line) {
    if (loudest == nullptr || line->level_dbfs > loudest->level_dbfs) {
      loudest = &*line;
    }
  }
  if (loudest == nullptr) {
    return std::nullopt;
  }
  const Course course = course_of(*loudest);
  const Company company = company_of(*loudest);
  return LongLine{{loudest->prominence_db,
                   course.mean_prominence_db,
                   loudest->impurity_db,
                   std::log2(static_cast<float>(loudest->age)),
                   std::log10(course.scatter_db + 0.05F),
                   course.slope_db,
                   std::log10(course.wander_hz + 0.002F),
                   loudest->level_dbfs - level_dbfs,
                   std::log2(1.0F + company.standers),
                   loudest->level_dbfs - company.loudest_dbfs,
                   std::log2(1.0F + company.older)}};
}

LongWindow::Course LongWindow::course_of(const Line& line) const noexcept {
  constexpr std::size_t kLeastLooks = 3;  // for a line through them
  std::array<float, kLooks> levels{};
  std::array<float, kLooks> frequencies{};
  Course course;
  std::size_t count = 0;
  for (const Line* at = &line; at != nullptr;) {
    levels[count] = at->level_dbfs;
    frequencies[count] = at->frequency_hz - line.frequency_hz;
    course.mean_prominence_db += at->prominence_db;
    ++count;
    at = at->before < 0 || count == kLooks
             ? nullptr
             : &look(count).lines[static_cast<std::size_t>(at->before)];
  }
  course.mean_prominence_db /= static_cast<float>(count);
  if (count >= kLeastLooks) {
    const Straight level = line_through_looks({levels.data(), count});
    course.scatter_db = level.residual;
    course.slope_db = level.slope;
    course.wander_hz = line_through_looks({frequencies.data(), count}).residual;
  }
  return course;
}

LongWindow::Company LongWindow::company_of(const Line& line) const noexcept {
  Company company;
  company.loudest_dbfs = line.level_dbfs - kFarBelowDb;
  for (const Line& other : look(0).all()) {
    if (&other == &line) {
      continue;
    }
    company.older += other.age > line.age ? 1.0F : 0.0F;
    if (2 * other.age >= line.age) {
      company.standers += other.level_dbfs > line.level_dbfs - kAlongDb ? 1.0F : 0.0F;
      company.loudest_dbfs = std::max(company.loudest_dbfs, other.level_dbfs);
    }
  }
  return company;
}

}  // namespace brink::detector
