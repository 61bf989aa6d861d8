#include "detector/track_line.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "detector/measures.h"

namespace brink::detector {

namespace {

constexpr float kLineDb = 15.0F;    // a line over more than this reaches down into programme
constexpr float kStraight = 0.98F;  // newest growth over that of the line: less is a bend
constexpr int kSlopeLooks = 12;     // for growth shown now

float slope_per_hop(const Scale& scale,
                    const Track& track,
                    int looks,
                    float Track::Look::*value,
                    int end_hops = 0) noexcept {
  const std::span<const float> weights = scale.slope.weights(looks);
  const float origin = track.look(end_hops).*value;
  float slope = 0.0F;
  for (int back = 0; back < looks; ++back) {
    slope +=
        weights[static_cast<std::size_t>(back)] * (track.look(end_hops + back).*value - origin);
  }
  return slope;
}

int slope_looks(const Track& track, int wanted) noexcept {
  return std::clamp(wanted, 2, std::min(track.history_hops(), kMaxSlopeLooks));
}

/// Standard deviation of one look's phase in noise `prominence_db` below the tone: half of that
/// noise lies across the tone.
float phase_noise_rad(float prominence_db) noexcept {
  return std::pow(10.0F, -prominence_db / 20.0F) / std::numbers::sqrt2_v<float>;
}

/// The same of its level: the other half lies along the tone.
float level_noise_db(float prominence_db) noexcept {
  constexpr float kDbPerNeper = 20.0F / std::numbers::ln10_v<float>;
  return kDbPerNeper * phase_noise_rad(prominence_db);
}

/// Slope, dB per hop, of the growth that led to the level which the track holds now, when it stands
/// out over `line_per_hop`, the line up to now; else that. The windows round the corner at a
/// limiter off, a long one over 0.17 s: from the hold one goes back until the line gets no steeper.
float straight_per_hop(const Scale& scale, const Track& track, float line_per_hop) noexcept {
  constexpr int kLooks = 8;
  constexpr float kSteeper = 1.01F;  // less is noise; going on would look for the largest of it
  constexpr float kSure = 4.0F;      // standard deviations
  const auto slope_at = [&](int end) {
    return slope_per_hop(scale, track, kLooks, &Track::Look::level_dbfs, end);
  };
  const auto is_line_at = [&](int end) {
    return end + kLooks <= track.history_hops() && track.look(end + kLooks - 1).is_peak();
  };
  int end = held_hops(track);
  if (!is_line_at(end)) {
    return line_per_hop;
  }
  float steepest = slope_at(end);
  while (is_line_at(end + 1) && slope_at(end + 1) > kSteeper * steepest) {
    steepest = slope_at(++end);
  }
  const float noise_db = level_noise_db(track.look(end + kLooks - 1).prominence_db);
  if (steepest - line_per_hop < kSure * noise_db * scale.slope.deviation(kLooks)) {
    return line_per_hop;
  }
  const int looks = std::clamp(static_cast<int>(kLineDb / steepest), 4, kLooks);
  return slope_per_hop(scale, track, looks, &Track::Look::level_dbfs, end);
}

}  // namespace

float growth_db_per_s(const Scale& scale, const Track& track) noexcept {
  if (track.history_hops() < 2) {
    return 0.0F;
  }
  constexpr int kFewestLooks = 3;
  int seen = 0;  // in a row; before them the looks show what else was there
  while (seen < std::min(track.history_hops(), kSlopeLooks) && track.look(seen).is_peak()) {
    ++seen;
  }
  const int looks = slope_looks(track, seen >= kFewestLooks ? seen : kSlopeLooks);
  float per_hop = slope_per_hop(scale, track, looks, &Track::Look::level_dbfs);
  // A fast one stands clear of programme only in its newest looks.
  const int fewer = slope_looks(track, static_cast<int>(kLineDb / std::max(per_hop, 1e-3F)));
  if (fewer < looks) {
    per_hop = slope_per_hop(scale, track, fewer, &Track::Look::level_dbfs);
  }
  return per_hop / static_cast<float>(scale.spectrum.hop_s());
}

TrackLine line_through(const Scale& scale, const Track& track) noexcept {
  if (track.history_hops() < 2) {
    return {.frequency_hz = static_cast<double>(track.frequency_hz),
            .frequency_sd_hz = scale.spectrum.bin_width_hz()};
  }
  const auto hop_s = static_cast<float>(scale.spectrum.hop_s());
  const float now_db_per_s = growth_db_per_s(scale, track);
  const float per_hop = std::max(std::abs(now_db_per_s) * hop_s, 1e-3F);
  const int looks = slope_looks(track, static_cast<int>(kLineDb / per_hop));
  const float line = slope_per_hop(scale, track, looks, &Track::Look::level_dbfs);
  const int newest = std::clamp(looks / 2, 2, kSlopeLooks);
  const float per_turn = 1.0F / (2.0F * std::numbers::pi_v<float> * hop_s);
  TrackLine result;
  result.now_db_per_s = static_cast<double>(now_db_per_s);
  result.is_straight =
      slope_per_hop(scale, track, newest, &Track::Look::level_dbfs) >= kStraight * line;
  const float growth = result.is_straight ? line : straight_per_hop(scale, track, line);
  result.growth_db_per_s = static_cast<double>(growth / hop_s);
  result.frequency_hz = static_cast<double>(
      track.reference_hz + slope_per_hop(scale, track, looks, &Track::Look::phase) * per_turn);
  const float noise_rad = phase_noise_rad(track.look(0).prominence_db);
  result.frequency_sd_hz = static_cast<double>(noise_rad * scale.slope.deviation(looks) * per_turn);
  return result;
}

}  // namespace brink::detector
