#pragma once

#include <optional>
#include <string>
#include <vector>

namespace brink::loop {

/// A talker, a microphone, a loudspeaker and the farthest listener. All distances in one unit,
/// whichever it is: only their ratios count.
struct ReachSetup {
  double talker_to_microphone = 0.3;
  double talker_to_listener = 10.0;
  double microphone_to_loudspeaker = 5.0;
  double loudspeaker_to_listener = 8.0;
  /// How near the listener would have to be to hear well without help; handbooks call it equivalent
  /// acoustic distance.
  double good_hearing = 3.0;
  /// Where direct and diffuse sound are equally strong; nothing outdoors.
  std::optional<double> critical_distance;
  int open_microphones = 1;
  double margin_db = 6.0;  ///< to stay below the brink
};

enum class Move : std::uint8_t {
  kCloserMicrophone,    ///< half as far from the talker
  kFartherLoudspeaker,  ///< twice as far from the microphone, if the place allows
  kFewerMicrophones,    ///< one open microphone less
  kCloserListener,      ///< the farthest listener half as far from the loudspeaker
};

/// One change by itself, everything else as it was.
struct MoveGain {
  Move move = Move::kCloserMicrophone;
  double from = 0.0;  ///< distance, or number of microphones
  double to = 0.0;
  double gain_db = 0.0;          ///< what it adds to Reach::spare_db
  std::optional<double> enough;  ///< the value at which it alone would do; nothing when it cannot
};

struct Reach {
  double potential_db = 0.0;  ///< acoustic gain that the margin leaves
  double needed_db = 0.0;  ///< acoustic gain that brings the talker to good hearing at the listener
  double spare_db = 0.0;   ///< potential less needed
  double margin_db = 0.0;  ///< as asked for
  bool works = false;      ///< spare_db is not negative
  std::vector<MoveGain> moves;  ///< the best first; one microphone alone has none to close
};

/// Potential and needed acoustic gain. Throws Error with the field named when a distance is not
/// above 0, beyond 10 000, or longer than the other three together; when open_microphones is not 1
/// to 64, margin_db not 0 to 20.
///
/// Source: G. Ballou (ed.), Handbook for Sound Engineers, chapter 34: PAG = 20 log10(D0 D1 / (Ds
/// D2)) - 10 log10(NOM) - 6, NAG = 20 log10(D0 / EAD), and indoors each distance x weighed by Dc^2
/// + x^2.
[[nodiscard]] Reach reach(const ReachSetup& setup);

/// Critical distance from the room constant S a / (1 - a) (or S a, as some handbooks take it), both
/// in the distances' unit squared, and the loudspeaker's directivity factor: 0.141 sqrt(Q R) (same
/// source).
[[nodiscard]] double critical_distance_from_room_constant(double room_constant, double directivity);

/// From volume and reverberation time: 0.057 sqrt(Q V / T60), metres.
[[nodiscard]] double critical_distance_from_t60_m(double volume_m3,
                                                  double t60_s,
                                                  double directivity);

}  // namespace brink::loop
