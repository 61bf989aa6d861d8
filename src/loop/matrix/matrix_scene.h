#pragma once

#include <optional>
#include <span>
#include <vector>

#include "loop/label.h"
#include "loop/matrix/matrix_stage.h"
#include "loop/matrix/matrix_truth.h"
#include "loop/scene.h"

namespace brink::loop {

/// A number for one channel, from 0.
struct ChannelValue {
  std::size_t channel = 0;
  double value = 0.0;
};

struct SendValue {
  std::size_t channel = 0;
  std::size_t output = 0;
  double gain_db = 0.0;  ///< at or below kNotSentDb: not sent
};

inline constexpr double kNotSentDb = -90.0;

struct ChannelCut {
  std::size_t channel = 0;
  base::Biquad section;
};

/// A band on a stage: people with a microphone each stand across the room, and wedges lie in front
/// of some of them. Faders, sends and places come from the room's seed, unless they are given.
struct MatrixSceneOptions {
  /// Room, wedge, microphone, console, programme, gain and length. Each person has the programme
  /// from a seed of its own. `equaliser`: at most one setting, from the start, in every output. No
  /// measured room, no moves; `tap` has no meaning here.
  SceneOptions stage;
  int microphones = 4;  ///< 1 to 32
  int outputs = 1;  ///< 1 to 8; those beyond the number of microphones hang at the stage's edges
  MatrixTap tap = MatrixTap::kChannel;
  std::vector<ChannelValue> faders_db;
  std::vector<SendValue> sends_db;
  std::vector<std::size_t> inverted;
  std::vector<ChannelCut> cuts;
};

struct MatrixScene {
  MatrixConfig stage;  ///< scaled: with a gain of 0 dB the loops are on their brink
  MatrixTap tap = MatrixTap::kChannel;
  std::vector<ProgrammeConfig> programmes;  ///< one for each microphone
  std::vector<Position> microphones;
  std::vector<Position> loudspeakers;
  /// As Scene::max_stable_gain_db, for faders and sends as they stand.
  std::optional<double> max_stable_gain_db;
  double length_s = 0.0;
};

/// Throws Error that names the field when the scene is not possible.
[[nodiscard]] MatrixScene build_matrix_scene(const MatrixSceneOptions& options);

struct MatrixRender {
  std::vector<std::vector<float>> taps;
  MatrixTruth truth;
  std::vector<std::vector<RingLabel>> rings;  ///< heard on each tap
};

/// Plays a scene from start to end. The same scene gives the same samples. Each person is heard in
/// every microphone: at 0.1 m in the own one, by distance in the others.
[[nodiscard]] MatrixRender render(const MatrixScene& scene);

}  // namespace brink::loop
