#include "show/compare.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "cuts/filters.h"
#include "show/gain_won.h"

namespace brink::show {
namespace {

bool is_near(double one_hz, double other_hz, double tolerance_cents) {
  return one_hz > 0.0 && other_hz > 0.0 &&
         std::abs(base::cents_between(other_hz, one_hz)) <= tolerance_cents;
}

/// From a cut's centre to where it has half its depth in dB.
double half_width_cents(const cuts::Band& cut) {
  constexpr double kCentsPerHalfOctave = 600.0;
  return kCentsPerHalfOctave * cuts::q_to_bandwidth(cut.q);
}

std::vector<VisitRing> rings_of(const show::OutputRecord& output, double tolerance_cents) {
  std::vector<VisitRing> rings;
  for (const show::RoundRecord& round : output.rounds) {
    const double frequency_hz = round.ring.frequency_hz;
    const auto same = std::find_if(rings.begin(), rings.end(), [&](const VisitRing& ring) {
      return is_near(ring.frequency_hz, frequency_hz, tolerance_cents);
    });
    if (same != rings.end()) {
      ++same->times;
    } else if (frequency_hz > 0.0) {
      rings.push_back({frequency_hz, 1});
    }
  }
  std::sort(rings.begin(), rings.end(), [](const VisitRing& a, const VisitRing& b) {
    return a.frequency_hz < b.frequency_hz;
  });
  return rings;
}

/// The nearest of `rings` within the tolerance.
const VisitRing* nearest(const std::vector<VisitRing>& rings,
                         double frequency_hz,
                         double tolerance_cents) {
  const VisitRing* best = nullptr;
  for (const VisitRing& ring : rings) {
    if (!is_near(ring.frequency_hz, frequency_hz, tolerance_cents)) {
      continue;
    }
    const double apart_cents = std::abs(base::cents_between(ring.frequency_hz, frequency_hz));
    if (best == nullptr ||
        apart_cents < std::abs(base::cents_between(best->frequency_hz, frequency_hz))) {
      best = &ring;
    }
  }
  return best;
}

bool is_needed(const cuts::Band& cut,
               const std::vector<VisitRing>& rings_now,
               const std::vector<cuts::Band>& cuts_now,
               double tolerance_cents) {
  const double reach_cents = std::max(tolerance_cents, half_width_cents(cut));
  return nearest(rings_now, cut.centre_hz, reach_cents) != nullptr ||
         std::any_of(cuts_now.begin(), cuts_now.end(), [&](const cuts::Band& other) {
           return !cuts::is_high_pass(other) &&
                  is_near(other.centre_hz, cut.centre_hz, reach_cents);
         });
}

OutputComparison compare_outputs(const show::OutputRecord& before,
                                 const show::OutputRecord& now,
                                 double tolerance_cents) {
  OutputComparison comparison;
  comparison.name = now.name;
  const auto rings_before = rings_of(before, tolerance_cents);
  const auto rings_now = rings_of(now, tolerance_cents);
  for (const VisitRing& ring : rings_now) {
    if (const VisitRing* same = nearest(rings_before, ring.frequency_hz, tolerance_cents)) {
      comparison.again.push_back(
          {*same, ring, base::cents_between(ring.frequency_hz, same->frequency_hz)});
    } else {
      comparison.fresh.push_back(ring);
    }
  }
  for (const VisitRing& ring : rings_before) {
    if (nearest(rings_now, ring.frequency_hz, tolerance_cents) == nullptr) {
      comparison.quiet.push_back(ring);
    }
  }
  for (const cuts::Band& cut : before.cuts) {
    if (!cuts::is_high_pass(cut) && cut.centre_hz > 0.0 &&
        !is_needed(cut, rings_now, now.cuts, tolerance_cents)) {
      comparison.needless.push_back(cut);
    }
  }
  comparison.won_before_db = show::gain_won_db(before);
  comparison.won_now_db = show::gain_won_db(now);
  return comparison;
}

const show::OutputRecord* named(const show::ShowRecord& show, const std::string& name) {
  const auto found = std::find_if(show.outputs.begin(),
                                  show.outputs.end(),
                                  [&name](const auto& output) { return output.name == name; });
  return found == show.outputs.end() ? nullptr : &*found;
}

}  // namespace

VisitComparison compare_visits(const show::ShowRecord& before,
                               const show::ShowRecord& now,
                               double tolerance_cents) {
  VisitComparison comparison;
  comparison.tolerance_cents = tolerance_cents;
  for (const show::OutputRecord& output : now.outputs) {
    if (const show::OutputRecord* same = named(before, output.name)) {
      comparison.outputs.push_back(compare_outputs(*same, output, tolerance_cents));
    } else {
      comparison.only_now.push_back(output.name);
    }
  }
  for (const show::OutputRecord& output : before.outputs) {
    if (named(now, output.name) == nullptr) {
      comparison.only_before.push_back(output.name);
    }
  }
  return comparison;
}

}  // namespace brink::show
