#include "cuts/fit.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include "cuts/appraise.h"
#include "cuts/score/loss_score.h"
#include "cuts/score/ring_score.h"
#include "cuts/shape.h"
#include "cuts/slot.h"

namespace brink::cuts {
namespace {

/// What a second fader must win beyond its loss. This is half a usual step of depth, and a ring's
/// excess is known far less exactly.
constexpr double kSecondDb = 0.25;

/// One band of a graphic at one of its depths, with its effect at each place that needs something.
struct Fader {
  Cut cut;  // depth 0: flat
  std::vector<double> levels_db;
  double lost_db = 0.0;
};

/// All positions of a band's fader, from flat down to `deepest_db`.
std::vector<Fader> faders(const Slot& band,
                          double deepest_db,
                          std::span<const Crossing> needs,
                          double sample_rate_hz) {
  std::vector<Fader> all;
  LossScore loss(1, sample_rate_hz);
  for (int depth = 0; depth < std::ssize(band.depths_db); ++depth) {
    const double depth_db = band.depths_db[static_cast<std::size_t>(depth)];
    if (depth_db < deepest_db - 1e-9) {
      break;
    }
    Fader fader{{band.centres_hz.front(), band.qs.front(), depth_db}, {}, 0.0};
    for (const Crossing& need : needs) {
      fader.levels_db.push_back(level_at({{}, {fader.cut}}, need.frequency_hz, sample_rate_hz));
    }
    fader.lost_db = loss.try_change_db(0, Shape(band, {0, 0, depth}, sample_rate_hz));
    all.push_back(std::move(fader));
  }
  return all;
}

/// What is still missing at the place that got least, dB.
double left_db(std::span<const Crossing> needs, const Fader& a, const Fader& b) {
  double left = 0.0;
  for (std::size_t i = 0; i < needs.size(); ++i) {
    left = std::max(left, needs[i].level_db + a.levels_db[i] + b.levels_db[i]);
  }
  return left;
}

using FaderPair = std::pair<const Fader*, const Fader*>;

/// The positions of two bands that leave the least missing and take the least from the sound.
FaderPair cheapest(const std::vector<Fader>& below,
                   const std::vector<Fader>& above,
                   std::span<const Crossing> needs) {
  FaderPair best{&below.front(), &above.front()};
  double best_db = HUGE_VAL;
  for (const Fader& a : below) {
    for (const Fader& b : above) {
      // The losses of neighbours nearly add up.
      const bool are_two = a.cut.depth_db < 0.0 && b.cut.depth_db < 0.0;
      const double price_db =
          left_db(needs, a, b) + a.lost_db + b.lost_db + (are_two ? kSecondDb : 0.0);
      if (price_db < best_db - 1e-9) {
        best_db = price_db;
        best = {&a, &b};
      }
    }
  }
  return best;
}

std::vector<Cut> fit_bands(const Cut& wanted, Target target, double sample_rate_hz) {
  target.high_pass_hz.clear();  // use bands only
  const auto bands = to_slots(target, sample_rate_hz);
  if (bands.empty()) {
    return {};
  }
  const auto needs = to_crossings(std::span(&wanted, 1), 0.49 * sample_rate_hz);
  // The two bands around the centre. At an end of the row there is only the last one: it stands for
  // both, and the second one stays flat.
  const auto next = std::find_if(bands.begin(), bands.end(), [&](const Slot& band) {
    return band.centres_hz.front() > wanted.centre_hz;
  });
  const Slot& lower = next == bands.begin() ? *next : *(next - 1);
  const bool is_between = next != bands.begin() && next != bands.end();
  const auto below = faders(lower, wanted.depth_db, needs, sample_rate_hz);
  const auto above =
      faders(is_between ? *next : lower, is_between ? wanted.depth_db : 0.0, needs, sample_rate_hz);
  const FaderPair best = cheapest(below, above, needs);
  // A remedy must give at least half of what was asked for.
  std::vector<Cut> cuts;
  if (left_db(needs, *best.first, *best.second) <= -0.5 * wanted.depth_db) {
    for (const Fader* fader : {best.first, best.second}) {
      if (fader->cut.depth_db < 0.0) {
        cuts.push_back(fader->cut);
      }
    }
  }
  return cuts;
}

}  // namespace

std::vector<Cut> fit_cut(const Cut& wanted, const Target& target, double sample_rate_hz) {
  if (target.kind == Target::Kind::kGraphic) {
    return fit_bands(wanted, target, sample_rate_hz);
  }
  if (target.bands < 1) {
    return {};
  }
  return {{grid_value(target.centres_hz, wanted.centre_hz),
           grid_value(target.qs, wanted.q),
           depth_value(target, wanted.depth_db)}};
}

}  // namespace brink::cuts
