#include "bench/protocol_clip.h"

#include <functional>
#include <optional>

#include "loop/random.h"

namespace brink::bench {

namespace {

// From S2's protocol.
constexpr double kLengthS = 20.0;
constexpr double kBelowDb = -6.0;   // loop gain until kRampS; 0 dB is the brink
constexpr double kRampS = 8.0;      // the gain then rises for one second
constexpr double kNoiseDb = -40.0;  // white noise, below the programme

// Our own choice.
constexpr double kProgrammeDbfs = -28.0;
constexpr double kHeardFromS = 15.0;  // any howl has begun by then

// A straight line in amplitude.
loop::Lines gain_plan(double hold_db) {
  constexpr int kSteps = 20;
  const double from = std::pow(10.0, kBelowDb / 20.0);
  const double to = std::pow(10.0, hold_db / 20.0);
  std::vector<loop::Lines::Point> points;
  for (int n = 0; n <= kSteps; ++n) {
    const double share = static_cast<double>(n) / kSteps;
    points.push_back({kRampS + share, 20.0 * std::log10(from + share * (to - from))});
  }
  return loop::Lines{std::move(points)};
}

std::vector<float> play(const loop::StageConfig& config, const std::vector<float>& programme) {
  loop::Stage stage{config};
  std::vector<float> tap(programme.size());
  stage.process(programme, tap);
  return tap;
}

// The power of each bin at the end of the clip.
std::vector<double> late_power(std::span<const float> samples) {
  std::vector<double> sum(kWindow / 2 + 1);
  for_each_look(samples, [&](std::size_t look, std::span<const float> power) {
    if (look_time_s(look) > kHeardFromS) {
      std::transform(power.begin(), power.end(), sum.begin(), sum.begin(), std::plus<>{});
    }
  });
  return sum;
}

}  // namespace

loop::Scene protocol_scene(std::uint64_t room_seed, loop::ProgrammeKind kind, double hold_db) {
  loop::Random random{1000 + room_seed};
  loop::SceneOptions scene;
  scene.sample_rate_hz = kRateHz;
  scene.length_s = kLengthS;
  scene.room.seed = room_seed;
  scene.room.length_m = random.between(8.0, 20.0);
  scene.room.width_m = random.between(6.0, 14.0);
  scene.room.height_m = random.between(2.8, 6.0);
  scene.room.t60_s = random.between(0.4, 0.9);  // S2's responses are 1 s long
  scene.distance_m = random.between(0.8, 2.5);
  scene.off_axis_deg = random.between(90.0, 180.0);
  scene.gain_db = gain_plan(hold_db);
  scene.programme.kind = kind;
  scene.programme.level_dbfs = kProgrammeDbfs;
  scene.programme.noise_floor_dbfs = kProgrammeDbfs + kNoiseDb;
  return loop::build_scene(scene);
}

Clip render_clip(const loop::Scene& scene) {
  std::vector<float> programme(static_cast<std::size_t>(kLengthS * kRateHz));
  loop::Programme{scene.programme}.fill(programme);
  Clip clip;
  clip.samples = play(scene.stage, programme);
  loop::StageConfig cut_open = scene.stage;
  std::fill(cut_open.response.begin(), cut_open.response.end(), 0.0);
  clip.open = play(cut_open, programme);
  const loop::OpenLoop loop{loop::loop_taps(scene.stage, 0.0), {}, kRateHz};
  clip.near_brink = loop.crossings(loop.response(), -kNearDb);
  clip.howl_hz =
      std::max_element(clip.near_brink.begin(),
                       clip.near_brink.end(),
                       [](const auto& a, const auto& b) { return a.gain_db < b.gain_db; })
          ->frequency_hz;
  return clip;
}

std::size_t heard_howls(const Clip& clip) {
  const std::vector<double> closed = late_power(clip.samples);
  const std::vector<double> open = late_power(clip.open);
  const double sixth_octave = std::exp2(1.0 / 6.0);
  std::size_t count = 0;
  std::optional<std::size_t> last;
  for (const loop::Crossing& crossing : clip.near_brink) {
    const std::size_t bin = std::min(bin_below(crossing.frequency_hz), closed.size() - 2);
    const std::size_t low = std::min(bin, bin_below(crossing.frequency_hz / sixth_octave) + 1);
    const std::size_t high = std::max(bin + 1, bin_below(crossing.frequency_hz * sixth_octave));
    double programme = 0.0;
    for (std::size_t k = low; k <= std::min(high, open.size() - 1); ++k) {
      programme += open[k];
    }
    const double tone = closed[bin] + closed[bin + 1];
    if (10.0 * std::log10(tone / programme) >= loop::kDominantDb) {
      count += last && bin <= *last + 3 ? 0U : 1U;
      last = bin;
    }
  }
  return count;
}

}  // namespace brink::bench
