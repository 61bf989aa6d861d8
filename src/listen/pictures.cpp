#include "listen/pictures.h"

namespace brink::listen {

void draw_tracks(std::span<const TapListener> listeners,
                 const taps::TapRings& rings,
                 std::vector<TapSnapshot>& taps) {
  for (std::size_t t = 0; t < taps.size(); ++t) {
    listeners[t].copy_tracks(taps[t].tracks);
    for (detector::TrackView& track : taps[t].tracks) {
      track.ring_id = track.ring_id == 0 ? 0 : rings.id_of(t, track.ring_id);
    }
  }
}

void draw_spectrum(std::span<const TapListener> listeners, std::size_t shown, Snapshot& snapshot) {
  for (TapSnapshot& tap : snapshot.taps) {
    tap.spectrum_dbfs.clear();
  }
  snapshot.together.spectrum_dbfs.clear();
  const bool is_all = shown >= listeners.size() && listeners.size() > 1;
  const std::size_t first = shown < listeners.size() ? shown : 0;
  std::vector<float>& spectrum =
      is_all ? snapshot.together.spectrum_dbfs : snapshot.taps[first].spectrum_dbfs;
  spectrum.assign(listeners[first].detector().spectrum_hz().size(), 0.0F);
  for (const TapListener& listener : is_all ? listeners : listeners.subspan(first, 1)) {
    listener.detector().join_spectrum(spectrum);
  }
  detector::spectrum_to_dbfs(spectrum);
}

}  // namespace brink::listen
