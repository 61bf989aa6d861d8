#include "detector/certainty.h"

#include <algorithm>

#include "detector/confidence.h"

namespace brink::detector {

namespace {

constexpr float kUsual = 0.24F;
constexpr float kKnownPlace = 0.7F;       // times as much where the loop has rung before,
constexpr float kWaryOfProgramme = 3.0F;  // times the usual where a ring was withdrawn

// Where music plays, what grows like a ring below kNotesHz is a note more often than elsewhere.
constexpr float kMoreForEachLine = 0.12F;  // for each line that music holds,
constexpr float kStrayLines = 0.5F;        // beyond these,
constexpr float kMostBesideMusic = 0.6F;   // to this at most
constexpr double kNotesHz = 2000.0;
constexpr double kMusicOverS = 6.0;

// What a ring must have by its end, or it is withdrawn.
constexpr float kBorneOut = 0.35F;       // one that ends at once
constexpr float kWellBorneOut = 1.4F;    // one that sounded for kTimeToShowS after its flag
constexpr float kFullyBorneOut = 2.25F;  // one that sounded for longer than kAllTimeToShowS:
constexpr double kTimeToShowS = 1.0;     // music holds a note for as long
constexpr double kAllTimeToShowS = 3.0;

}  // namespace

Certainty::Certainty(double sure) : usual_{std::max(kUsual, evidence_of(sure))} {}

void Certainty::hear(const Scales& scales, bool is_ringing) noexcept {
  if (is_ringing) {
    return;
  }
  const auto share = static_cast<float>(scales.all().front().spectrum.hop_s() / kMusicOverS);
  held_lines_ += share * (static_cast<float>(scales.long_window().held_lines()) - held_lines_);
}

float Certainty::needed(const SoundingRing& sounding, const Place* place) const noexcept {
  const float needed = needed_beside_music(sounding);
  if (place == nullptr) {
    return needed;
  }
  return 2 * place->doubted_times > place->times ? std::max(kWaryOfProgramme * usual_, needed)
         : place->doubted_times == 0             ? kKnownPlace * needed
                                                 : needed;
}

/// A line that stands was compared with the notes already.
float Certainty::needed_beside_music(const SoundingRing& sounding) const noexcept {
  if (sounding.lead->standing > 0.0F || sounding.ring.frequency_hz > kNotesHz) {
    return usual_;
  }
  const float more = kMoreForEachLine * std::max(held_lines_ - kStrayLines, 0.0F);
  return std::max(usual_, std::min(usual_ + more, kMostBesideMusic));
}

bool Certainty::is_borne_out(float evidence, double since_flag_s) noexcept {
  if (since_flag_s > kAllTimeToShowS) {
    return evidence >= kFullyBorneOut;
  }
  const auto share = static_cast<float>(std::clamp(since_flag_s / kTimeToShowS, 0.0, 1.0));
  return evidence >= kBorneOut + share * (kWellBorneOut - kBorneOut);
}

}  // namespace brink::detector
