#include "loop/matrix/matrix_scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "base/units.h"
#include "loop/random.h"
#include "loop/require.h"

namespace brink::loop {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kMouthM = 0.1;  // from a microphone

struct Placed {
  Position at;
  Position aim;
};

class Builder {
 public:
  explicit Builder(const MatrixSceneOptions& options)
      : options_{options}, room_{options.stage.room}, random_{room_.seed ^ 0x7A5A5EEDULL} {
    require(options_.stage.length_s, 0.05, 3600.0, "length", "s");
    require(options_.microphones, 1, MatrixConfig::kMostMicrophones, "number of microphones");
    require(options_.outputs, 1, MatrixConfig::kMostOutputs, "number of outputs");
    if (options_.stage.swing || options_.stage.walk || !options_.stage.room_samples.empty() ||
        options_.stage.equaliser.size() > 1 ||
        (!options_.stage.equaliser.empty() && options_.stage.equaliser.front().time_s > 0.0)) {
      throw base::Error{
          "a stage of several microphones has no measured room, no moves of a microphone, and "
          "cuts from the start only."};
    }
    room_.sample_rate_hz = options_.stage.sample_rate_hz;
  }

  MatrixScene build() {
    place_people();
    place_loudspeakers();
    MatrixScene scene;
    scene.length_s = options_.stage.length_s;
    scene.tap = options_.tap;
    for (const Placed& person : people_) {
      scene.microphones.push_back(person.at);
    }
    scene.loudspeakers = loudspeakers_;
    set_console(scene.stage);
    set_paths(scene.stage);
    set_programmes(scene);
    if (!options_.stage.is_open) {
      scale(scene);
    }
    return scene;
  }

 private:
  // Across the stage; every second person stands further back.
  void place_people() {
    const int count = options_.microphones;
    const double height_m = std::min(1.5, 0.5 * room_.height_m);
    for (int k = 0; k < count; ++k) {
      const double across = (k + 0.5) / count + random_.between(-0.2, 0.2) / count;
      const double along = 0.38 - (k % 2 == 1 ? 0.12 : 0.0) + random_.between(-0.03, 0.03);
      people_.push_back({{along * room_.length_m, (0.1 + 0.8 * across) * room_.width_m, height_m},
                         {-1.0, 0.0, 0.0}});
    }
  }

  void place_loudspeakers() {
    std::vector<bool> has_wedge(people_.size());
    const double distance_m = options_.stage.distance_m;
    const double off_axis_deg = options_.stage.off_axis_deg;
    for (int j = 0; j < options_.outputs; ++j) {
      if (j >= options_.microphones) {
        const bool is_left = (j - options_.microphones) % 2 == 0;
        loudspeakers_.push_back({0.6 * room_.length_m,
                                 (is_left ? 0.07 : 0.93) * room_.width_m,
                                 std::min(2.2, room_.height_m - 0.3)});
        continue;
      }
      const int wedges = std::min(options_.outputs, options_.microphones);
      const auto owner =
          static_cast<std::size_t>((2 * j + 1) * options_.microphones / (2 * wedges));
      owner_.push_back(owner);
      loudspeakers_.push_back(wedge_of(people_[owner], distance_m, off_axis_deg));
      has_wedge[owner] = true;
    }
    // Who has no wedge sings as the others do: away from the front.
    for (std::size_t k = 0; k < people_.size(); ++k) {
      if (!has_wedge[k]) {
        (void)wedge_of(people_[k], distance_m, off_axis_deg);
      }
    }
  }

  // The place of a person's wedge; turns the microphone to the person.
  Position wedge_of(Placed& person, double distance_m, double off_axis_deg) {
    const double at_m = distance_m * random_.between(0.8, 1.2);
    const double turn = random_.between(-0.4, 0.4);
    const double drop_m = std::min(person.at.z_m - 0.25, 0.7 * at_m);
    const double across_m = std::sqrt(at_m * at_m - drop_m * drop_m);
    const double angle_deg = std::clamp(off_axis_deg + random_.between(-25.0, 25.0), 0.0, 180.0);
    const double rise = angle_deg * kPi / 180.0 - std::asin(drop_m / at_m);
    person.aim = {std::cos(rise) * std::cos(turn), std::cos(rise) * std::sin(turn), std::sin(rise)};
    return {person.at.x_m + across_m * std::cos(turn),
            std::clamp(person.at.y_m + across_m * std::sin(turn), 0.3, room_.width_m - 0.3),
            person.at.z_m - drop_m};
  }

  // A monitor mix: the own voice loudest, the others lower, one in four not at all.
  double send_db(std::size_t channel, std::size_t output) {
    const double other_db = random_.between(-14.0, -4.0);
    const bool is_sent = random_.uniform() >= 0.25 || options_.outputs == 1;
    if (output >= owner_.size() || owner_[output] == channel) {
      return 0.0;  // the mains have everybody
    }
    return is_sent ? other_db : kNotSentDb;
  }

  void require_channel(std::size_t channel) const {
    if (channel >= people_.size()) {
      throw base::Error{
          fmt::format("there is no microphone {}; the stage has {}.", channel + 1, people_.size())};
    }
  }

  void set_console(MatrixConfig& stage) {
    stage.sample_rate_hz = options_.stage.sample_rate_hz;
    stage.console_delay_s = options_.stage.console_delay_s;
    stage.limit_dbfs = options_.stage.limit_dbfs;
    stage.gain_db = options_.stage.gain_db;
    stage.channels.resize(people_.size());
    stage.outputs.resize(loudspeakers_.size());
    for (std::size_t i = 0; i < people_.size(); ++i) {
      stage.channels[i].gain_db = random_.between(-5.0, 5.0);
      for (std::size_t j = 0; j < loudspeakers_.size(); ++j) {
        stage.channels[i].send_lin.push_back(to_lin(send_db(i, j)));
      }
    }
    take_given(stage);
  }

  static double to_lin(double send_db) noexcept {
    return send_db <= kNotSentDb ? 0.0 : base::db_to_amplitude(send_db);
  }

  void take_given(MatrixConfig& stage) const {
    for (const ChannelValue& fader : options_.faders_db) {
      require_channel(fader.channel);
      stage.channels[fader.channel].gain_db = fader.value;
    }
    for (const SendValue& send : options_.sends_db) {
      require_channel(send.channel);
      if (send.output >= stage.outputs.size()) {
        throw base::Error{fmt::format(
            "there is no output {}; the stage has {}.", send.output + 1, stage.outputs.size())};
      }
      stage.channels[send.channel].send_lin[send.output] = to_lin(send.gain_db);
    }
    for (const std::size_t channel : options_.inverted) {
      require_channel(channel);
      stage.channels[channel].is_inverted = true;
    }
    for (const ChannelCut& cut : options_.cuts) {
      require_channel(cut.channel);
      stage.channels[cut.channel].sections.push_back(cut.section);
    }
    for (const EqualiserChange& change : options_.stage.equaliser) {
      for (MatrixOutput& output : stage.outputs) {
        output.sections = change.sections;
      }
    }
  }

  void limit_band(BandLimits limits, std::vector<double>& taps) const {
    if (limits.high_hz > 0.45 * room_.sample_rate_hz) {
      limits.high_hz = 0.0;
    }
    apply(limits, room_.sample_rate_hz, taps);
  }

  void set_paths(MatrixConfig& stage) {
    stage.path.resize(people_.size());
    for (std::size_t i = 0; i < people_.size(); ++i) {
      for (std::size_t j = 0; j < loudspeakers_.size(); ++j) {
        std::vector<double>& taps = stage.path[i].emplace_back();
        if (options_.stage.is_open) {
          continue;
        }
        RoomConfig room = room_;
        room.path_seed = 1 + i * MatrixConfig::kMostOutputs + j;
        room.microphone = people_[i].at;
        room.aim = people_[i].aim;
        room.loudspeaker = loudspeakers_[j];
        taps = room_response(room);
        limit_band(options_.stage.loudspeaker, taps);
        limit_band(options_.stage.microphone, taps);
      }
    }
  }

  void set_programmes(MatrixScene& scene) const {
    for (std::size_t i = 0; i < people_.size(); ++i) {
      ProgrammeConfig programme = options_.stage.programme;
      programme.sample_rate_hz = options_.stage.sample_rate_hz;
      programme.seed += i * 7919;  // any number far from the next user's seed
      scene.programmes.push_back(std::move(programme));
    }
  }

  static void scale(MatrixScene& scene) {
    const double brink_db = MatrixLoop{scene.stage}.max_stable_gain_db();
    if (brink_db >= kUnlimitedGainDb) {
      return;
    }
    scene.max_stable_gain_db = brink_db;
    const double scale_lin = base::db_to_amplitude(brink_db);
    for (auto& row : scene.stage.path) {
      for (std::vector<double>& path : row) {
        for (double& tap : path) {
          tap *= scale_lin;
        }
      }
    }
  }

  const MatrixSceneOptions& options_;
  RoomConfig room_;
  Random random_;
  std::vector<Placed> people_;
  std::vector<Position> loudspeakers_;
  std::vector<std::size_t> owner_;  // of each wedge
};

using Channels = std::vector<std::vector<float>>;

Channels programme_at_microphones(const MatrixScene& scene) {
  const auto length =
      static_cast<std::size_t>(std::llround(scene.length_s * scene.stage.sample_rate_hz));
  Channels own;
  for (const ProgrammeConfig& config : scene.programmes) {
    Programme{config}.fill(own.emplace_back(length));
  }
  Channels heard = own;
  for (std::size_t i = 0; i < heard.size(); ++i) {
    for (std::size_t k = 0; k < own.size(); ++k) {
      if (i == k) {
        continue;
      }
      const double apart_m =
          std::max(kMouthM, distance_m(scene.microphones[i], scene.microphones[k]));
      const auto lin = static_cast<float>(kMouthM / apart_m);
      const auto delay =
          static_cast<std::size_t>(apart_m / kSoundSpeedMps * scene.stage.sample_rate_hz);
      for (std::size_t n = delay; n < length; ++n) {
        heard[i][n] += lin * own[k][n - delay];
      }
    }
  }
  return heard;
}

Channels play(const MatrixConfig& config, MatrixTap tap, const Channels& programme) {
  MatrixStage stage{config, tap};
  Channels taps(stage.tap_count(), std::vector<float>(programme.front().size()));
  const std::vector<std::span<const float>> in(programme.begin(), programme.end());
  const std::vector<std::span<float>> out(taps.begin(), taps.end());
  stage.process(in, out);
  return taps;
}

MatrixConfig cut_open(MatrixConfig config) {
  for (auto& row : config.path) {
    for (std::vector<double>& path : row) {
      path.clear();
    }
  }
  return config;
}

}  // namespace

MatrixScene build_matrix_scene(const MatrixSceneOptions& options) {
  MatrixScene scene = Builder{options}.build();
  validate(scene.stage);
  (void)Programme{scene.programmes.front()};  // throws now what would be thrown later
  return scene;
}

MatrixRender render(const MatrixScene& scene) {
  MatrixRender result;
  const Channels programme = programme_at_microphones(scene);
  result.taps = play(scene.stage, scene.tap, programme);
  result.truth = matrix_truth(scene.stage, scene.length_s);
  result.rings.resize(result.taps.size());
  const auto& near = result.truth.near_brink;
  if (std::any_of(near.begin(), near.end(), [](const MatrixNearBrink& one) {
        return one.near.unstable_s != kNeverS;
      })) {
    const Channels open = play(cut_open(scene.stage), scene.tap, programme);
    const LoopTruth loop = result.truth.loop();
    for (std::size_t tap = 0; tap < result.taps.size(); ++tap) {
      result.rings[tap] =
          label_rings(loop, result.taps[tap], open[tap], scene.stage.sample_rate_hz);
    }
  }
  return result;
}

}  // namespace brink::loop
