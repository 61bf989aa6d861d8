#pragma once

#include <optional>
#include <span>
#include <vector>

#include "loop/band_limits.h"
#include "loop/label.h"
#include "loop/programme.h"
#include "loop/room.h"
#include "loop/stage.h"
#include "loop/truth.h"

namespace brink::loop {

/// The microphone is swung towards the wedge and, if asked, back.
struct Swing {
  double at_s = 4.0;
  double takes_s = 0.4;
  std::optional<double> back_s;  ///< when it starts back, at the same pace
  double distance_m = 0.5;       ///< from the wedge, when swung
  double over_brink_db = 2.5;    ///< loop gain that the swung microphone makes of a gain of 0 dB
};

/// Somebody walks with the microphone.
struct Walk {
  double from_s = 2.0;
  double to_s = 12.0;
  double by_m = 0.03;  ///< along the room: some centimetres bend a ring, more let another take over
};

/// A stage in plain words: a room, a wedge, a microphone, a programme, and what happens.
struct SceneOptions {
  double sample_rate_hz = 48000.0;
  double length_s = 12.0;  ///< above 0, at most 3600
  RoomConfig room;         ///< sides, T60, pattern and seed; places come from the distances below
  std::vector<double> room_samples;  ///< a measured response instead, travel time removed; or empty
  double distance_m = 1.5;           ///< wedge to microphone
  double off_axis_deg = 120.0;       ///< where the microphone points, off the wedge
  BandLimits loudspeaker{70.0, 10000.0};
  BandLimits microphone{60.0, 16000.0};
  double console_delay_s = 0.0015;
  double limit_dbfs = -6.0;
  Tap tap = Tap::kMicrophone;
  bool is_open = false;  ///< no loop at all: the programme alone
  ProgrammeConfig programme;
  /// Loop gain over time: 0 dB is the brink of the loop as it stands at the start, flat.
  Lines gain_db = ramp(-8.0, 2.0, 1.0, 8.0);
  std::optional<Swing> swing;
  std::optional<Walk> walk;
  std::vector<EqualiserChange> equaliser;
};

/// A stage ready to run.
struct Scene {
  StageConfig stage;  ///< scaled: at a gain of 0 dB the loop stands on its brink
  ProgrammeConfig programme;
  /// Gain from the sound at the microphone to the sound in 1 m of the wedge at which the loop
  /// stands on its brink: the loop's maximum stable gain before anything happens. With a measured
  /// room, in that response's own scale. Nothing when the loop is open.
  std::optional<double> max_stable_gain_db;
  double length_s = 0.0;
};

/// Throws Error, naming the field, on a scene that cannot be.
[[nodiscard]] Scene build_scene(const SceneOptions& options);

/// A scene played to its end, with its truth.
struct Render {
  std::vector<float> samples;
  LoopTruth truth;
  std::vector<RingLabel> rings;
};

[[nodiscard]] Render render(const Scene& scene);

}  // namespace brink::loop
