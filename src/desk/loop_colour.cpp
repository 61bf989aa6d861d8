#include "desk/loop_colour.h"

#include <array>
#include <cmath>

#include "base/biquad.h"
#include "base/units.h"
#include "cuts/filters.h"
#include "loop/open_loop.h"
#include "loop/random.h"
#include "loop/truth.h"

namespace brink::desk {
namespace {

struct Range {
  double low;
  double high;
};

constexpr std::array kPlacesHz{Range{200.0, 630.0}, Range{800.0, 2000.0}, Range{2500.0, 6300.0}};
constexpr Range kHeightsDb{2.5, 5.0};
constexpr Range kQs{2.0, 5.0};
constexpr double kTailS = 0.1;  // the narrowest has decayed within

}  // namespace

void colour_loop(loop::StageConfig& stage, std::uint64_t seed) {
  constexpr std::uint64_t kOwnDraws = 0x9e3779b97f4a7c15;  // apart from the room's of the same seed
  loop::Random random{seed ^ kOwnDraws};
  const double rate_hz = stage.sample_rate_hz;
  stage.response.resize(stage.response.size() + static_cast<std::size_t>(kTailS * rate_hz));
  for (const Range& place : kPlacesHz) {
    const double centre_hz = place.low * std::pow(place.high / place.low, random.uniform());
    const double height_db = random.between(kHeightsDb.low, kHeightsDb.high);
    const double q = random.between(kQs.low, kQs.high);
    base::BiquadRunner runner;
    runner.set_section(cuts::design_peaking(centre_hz, q, height_db, rate_hz));
    for (double& tap : stage.response) {
      tap = runner.step(tap);
    }
  }
  const double brink_db =
      loop::max_stable_gain_db(loop::OpenLoop{loop::loop_taps(stage, 0.0), {}, rate_hz});
  for (double& tap : stage.response) {
    tap *= base::db_to_amplitude(brink_db);
  }
}

}  // namespace brink::desk
