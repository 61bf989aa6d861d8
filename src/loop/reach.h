#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace brink::loop {

/// A talker, a microphone, a loudspeaker and the farthest listener. All distances are in one unit.
/// Any unit will do, because only ratios count.
struct ReachSetup {
  double talker_to_microphone = 0.3;
  double talker_to_listener = 10.0;
  double microphone_to_loudspeaker = 5.0;
  double loudspeaker_to_listener = 8.0;
  /// Distance at which the listener would hear well without help. Handbooks call it equivalent
  /// acoustic distance.
  double good_hearing = 3.0;
  /// Distance at which direct and diffuse sound are equally strong; nothing outdoors.
  std::optional<double> critical_distance;
  int open_microphones = 1;
  double margin_db = 6.0;  ///< distance to keep from the brink
};

/// One change that may help.
enum class Move : std::uint8_t {
  kCloserMicrophone,    ///< talker to microphone: half the distance
  kFartherLoudspeaker,  ///< loudspeaker to microphone: twice the distance, if the place allows it
  kFewerMicrophones,    ///< one open microphone less
  kCloserListener,      ///< loudspeaker to the farthest listener: half the distance
};

/// The effect of one change when everything else stays.
struct MoveGain {
  Move move = Move::kCloserMicrophone;
  double from = 0.0;  ///< distance or number of microphones before the change
  double to = 0.0;
  double gain_db = 0.0;  ///< what it adds to Reach::spare_db
  /// Value at which this change alone is enough; nothing when no value is, or none is needed.
  std::optional<double> enough;
};

/// The answer of reach(). All in dB.
struct Reach {
  double potential_db = 0.0;  ///< acoustic gain that is possible with the margin kept
  double needed_db = 0.0;     ///< acoustic gain with which the listener hears the talker well
  double spare_db = 0.0;      ///< potential minus needed
  double margin_db = 0.0;     ///< the margin of the setup
  bool works = false;         ///< true when spare_db is not negative
  /// The best first; with one microphone, kFewerMicrophones is missing.
  std::vector<MoveGain> moves;
};

/// Potential and needed acoustic gain. Throws Error that names the field in these cases: a distance
/// is not above 0, is above 10 000, or is longer than the other three together; open_microphones is
/// not 1 to 64; margin_db is not 0 to 20.
///
/// Source: G. Ballou (ed.), Handbook for Sound Engineers, chapter 34: PAG = 20 log10(D0 D1 / (Ds
/// D2)) - 10 log10(NOM) - 6, NAG = 20 log10(D0 / EAD), and indoors each distance x weighed by Dc^2
/// + x^2.
[[nodiscard]] Reach reach(const ReachSetup& setup);

/// Critical distance 0.141 sqrt(Q R) (same source). R is the room constant S a / (1 - a); some
/// handbooks take S a. It is in the square of the distances' unit. Q is the loudspeaker's
/// directivity factor.
[[nodiscard]] double critical_distance_from_room_constant(double room_constant, double directivity);

/// Critical distance in metres from volume and reverberation time: 0.057 sqrt(Q V / T60).
[[nodiscard]] double critical_distance_from_t60_m(double volume_m3,
                                                  double t60_s,
                                                  double directivity);

}  // namespace brink::loop
