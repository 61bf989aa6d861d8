#include "loop/scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "loop/require.h"

namespace brink::loop {

namespace {

void scale(std::vector<double>& response, double gain_db) {
  const double gain_lin = base::db_to_amplitude(gain_db);
  for (double& tap : response) {
    tap *= gain_lin;
  }
}

double max_stable_gain_db(const StageConfig& stage, double position) {
  return max_stable_gain_db(OpenLoop{loop_taps(stage, position), {}, stage.sample_rate_hz});
}

class SceneBuilder {
 public:
  explicit SceneBuilder(const SceneOptions& options) : options_{options}, room_{options.room} {
    require(options_.length_s, 0.05, 3600.0, "length", "s");
    require(options_.sample_rate_hz, 8000.0, 192000.0, "sample rate", "Hz");
    require(options_.console_delay_s, 0.0, 0.5, "console delay", "s");
    require(options_.limit_dbfs, -60.0, 0.0, "limit", "dBFS");
    if (options_.swing && options_.walk) {
      throw base::Error{"a microphone is either swung or walked with, not both in one scene."};
    }
    room_.sample_rate_hz = options_.sample_rate_hz;
  }

  Scene build() {
    Scene scene;
    scene.length_s = options_.length_s;
    scene.programme = options_.programme;
    scene.programme.sample_rate_hz = options_.sample_rate_hz;
    StageConfig& stage = scene.stage;
    stage.sample_rate_hz = options_.sample_rate_hz;
    stage.console_delay_s = options_.console_delay_s;
    stage.limit_dbfs = options_.limit_dbfs;
    stage.tap = options_.tap;
    stage.plan.gain_db = options_.gain_db;
    stage.plan.equaliser = options_.equaliser;
    if (options_.room_samples.empty()) {
      place_wedge(room_, options_.distance_m, options_.off_axis_deg);
    }
    stage.response = response(room_, options_.distance_m);
    if (options_.is_open) {
      std::fill(stage.response.begin(), stage.response.end(), 0.0);
      return scene;
    }
    scene.max_stable_gain_db = max_stable_gain_db(stage, 0.0);
    scale(stage.response, *scene.max_stable_gain_db);
    move_microphone(scene);
    place_listener(scene);
    return scene;
  }

 private:
  std::vector<double> response(const RoomConfig& room, double distance_m) const {
    std::vector<double> taps =
        options_.room_samples.empty()
            ? room_response(room)
            : delayed_response(options_.room_samples, distance_m, options_.sample_rate_hz);
    limit_band(options_.loudspeaker, taps);
    limit_band(options_.microphone, taps);
    return taps;
  }

  // A limit above what a low sample rate can hold is left out: the sample rate itself is then the
  // limit.
  void limit_band(BandLimits limits, std::vector<double>& taps) const {
    if (limits.high_hz > 0.45 * options_.sample_rate_hz) {
      limits.high_hz = 0.0;
    }
    apply(limits, options_.sample_rate_hz, taps);
  }

  void move_microphone(Scene& scene) const {
    if (options_.swing) {
      swing(scene, *options_.swing);
    }
    if (options_.walk) {
      walk(scene, *options_.walk);
    }
  }

  void swing(Scene& scene, const Swing& swing) const {
    require(swing.at_s, 0.0, options_.length_s, "swing time", "s");
    require(swing.takes_s, 0.01, 60.0, "length of the swing", "s");
    require(swing.distance_m, 0.15, options_.distance_m, "swung distance", "m");
    require(swing.over_brink_db, -40.0, 20.0, "swung loop gain", "dB");
    RoomConfig nearer = room_;
    const double share = swing.distance_m / options_.distance_m;
    nearer.microphone = {
        room_.loudspeaker.x_m + share * (room_.microphone.x_m - room_.loudspeaker.x_m),
        room_.loudspeaker.y_m + share * (room_.microphone.y_m - room_.loudspeaker.y_m),
        room_.loudspeaker.z_m + share * (room_.microphone.z_m - room_.loudspeaker.z_m)};
    StageConfig& stage = scene.stage;
    stage.moved_response = response(nearer, swing.distance_m);
    scale(stage.moved_response, max_stable_gain_db(stage, 1.0) + swing.over_brink_db);
    std::vector<Lines::Point> path{{swing.at_s, 0.0}, {swing.at_s + swing.takes_s, 1.0}};
    if (swing.back_s) {
      require(*swing.back_s,
              swing.at_s + swing.takes_s,
              options_.length_s,
              "time of the swing back",
              "s");
      path.push_back({*swing.back_s, 1.0});
      path.push_back({*swing.back_s + swing.takes_s, 0.0});
    }
    stage.plan.position = Lines{std::move(path)};
  }

  void walk(Scene& scene, const Walk& walk) const {
    require(walk.from_s, 0.0, options_.length_s, "start of the walk", "s");
    require(walk.to_s, walk.from_s, options_.length_s, "end of the walk", "s");
    require(walk.by_m, 0.001, 5.0, "length of the walk", "m");
    RoomConfig there = room_;
    there.microphone.x_m -= walk.by_m;  // away from the wedge
    StageConfig& stage = scene.stage;
    stage.moved_response = response(there, options_.distance_m + walk.by_m);
    scale(stage.moved_response, *scene.max_stable_gain_db);
    stage.plan.position = ramp(0.0, 1.0, walk.from_s, walk.to_s);
  }

  // The listener is in the audience, some metres in front of the wedge. No directivity.
  void place_listener(Scene& scene) const {
    if (options_.tap != Tap::kListener) {
      return;
    }
    RoomConfig seat = room_;
    seat.pattern = Pattern::kOmni;
    seat.microphone = {std::min(room_.loudspeaker.x_m + 0.4 * room_.length_m, room_.length_m - 0.5),
                       0.5 * room_.width_m,
                       std::min(1.2, room_.height_m - 0.2)};
    scene.stage.listener_response = response(seat, distance_m(seat.microphone, seat.loudspeaker));
  }

  const SceneOptions& options_;
  RoomConfig room_;
};

std::vector<float> play(const StageConfig& config, const std::vector<float>& programme) {
  Stage stage{config};
  std::vector<float> tap(programme.size());
  stage.process(programme, tap);
  return tap;
}

StageConfig cut_open(StageConfig config) {
  std::fill(config.response.begin(), config.response.end(), 0.0);
  std::fill(config.moved_response.begin(), config.moved_response.end(), 0.0);
  return config;
}

}  // namespace

Scene build_scene(const SceneOptions& options) {
  Scene scene = SceneBuilder{options}.build();
  (void)Stage{scene.stage};  // throws now what would be thrown later
  (void)Programme{scene.programme};
  return scene;
}

Render render(const Scene& scene) {
  Render result;
  Programme programme{scene.programme};
  std::vector<float> samples(
      static_cast<std::size_t>(std::llround(scene.length_s * scene.stage.sample_rate_hz)));
  programme.fill(samples);
  result.samples = play(scene.stage, samples);
  result.truth = loop_truth(scene.stage, scene.length_s);
  const bool is_unstable = std::any_of(
      result.truth.near_brink.begin(), result.truth.near_brink.end(), [](const NearBrink& near) {
        return near.unstable_s != kNeverS;
      });
  if (is_unstable) {
    result.rings = label_rings(result.truth,
                               result.samples,
                               play(cut_open(scene.stage), samples),
                               scene.stage.sample_rate_hz);
  }
  return result;
}

}  // namespace brink::loop
