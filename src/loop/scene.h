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

/// The microphone swings towards the wedge and, if wanted, back.
struct Swing {
  double at_s = 4.0;
  double takes_s = 0.4;
  std::optional<double> back_s;  ///< when it starts back, at the same speed
  double distance_m = 0.5;       ///< from the wedge, at the end of the swing
  double over_brink_db = 2.5;    ///< loop gain at the end of the swing if it was 0 dB at the start
};

/// Somebody walks with the microphone.
struct Walk {
  double from_s = 2.0;
  double to_s = 12.0;
  /// Along the room: some centimetres shift a ring; with more, another ring takes over.
  double by_m = 0.03;
};

/// A stage in plain words: a room, a wedge, a microphone, a programme, and the events.
struct SceneOptions {
  double sample_rate_hz = 48000.0;
  double length_s = 12.0;  ///< above 0, at most 3600
  RoomConfig room;  ///< sides, T60, pattern and seed; the places follow from the distances below
  /// A measured response in place of the room, travel time removed; or empty.
  std::vector<double> room_samples;
  double distance_m = 1.5;      ///< wedge to microphone
  double off_axis_deg = 120.0;  ///< angle from the microphone's axis to the wedge
  BandLimits loudspeaker{70.0, 10000.0};
  BandLimits microphone{60.0, 16000.0};
  double console_delay_s = 0.0015;
  double limit_dbfs = -6.0;
  Tap tap = Tap::kMicrophone;
  bool is_open = false;  ///< true: no loop; only the programme is heard
  ProgrammeConfig programme;
  /// Loop gain over time. 0 dB is the brink of the loop as it is at the start, with a flat
  /// equaliser.
  Lines gain_db = ramp(-8.0, 2.0, 1.0, 8.0);
  std::optional<Swing> swing;
  std::optional<Walk> walk;
  std::vector<EqualiserChange> equaliser;
};

/// A stage ready to run.
struct Scene {
  StageConfig stage;  ///< scaled: with a gain of 0 dB the loop is on its brink
  ProgrammeConfig programme;
  /// The loop's maximum stable gain before anything happens: the gain from the sound at the
  /// microphone to the sound in 1 m of the wedge with the loop on its brink. With a measured room,
  /// in that response's own scale. Nothing when the loop is open.
  std::optional<double> max_stable_gain_db;
  double length_s = 0.0;
};

/// Throws Error that names the field when the scene is not possible.
[[nodiscard]] Scene build_scene(const SceneOptions& options);

/// A scene played to its end, with the truth about it.
struct Render {
  std::vector<float> samples;
  LoopTruth truth;
  std::vector<RingLabel> rings;
};

/// Plays a scene from start to end. The same scene gives the same samples.
[[nodiscard]] Render render(const Scene& scene);

}  // namespace brink::loop
