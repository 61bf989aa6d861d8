#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "detector/certainty.h"
#include "detector/evidence.h"
#include "detector/places.h"
#include "detector/ring.h"
#include "detector/sounding_rings.h"

namespace brink::detector {

/// Decides from the evidence of each track what rings, and keeps the rings through their states.
/// Constructing allocates, the rest does not. [analysis]
class Rings {
 public:
  /// `sure`: a ring is flagged when its confidence has reached it, too; 0 to 0.99.
  explicit Rings(double sample_rate_hz, double sure = 0.0);

  /// After the tracks of every scale have advanced; `now_sample`: samples heard so far.
  void advance(Scales& scales, std::int64_t now_sample, EventSink& sink) noexcept;

  /// Every ring that still sounds is gone.
  void finish(std::int64_t now_sample, EventSink& sink) noexcept;

  [[nodiscard]] const Ring* find(std::uint32_t id) const noexcept { return rings_.find(id); }

  /// Where rings were flagged so far.
  [[nodiscard]] std::span<const Place> places() const noexcept { return places_.all(); }

 private:
  void judge(const Scale& scale, Track& track, std::int64_t now_sample, EventSink& sink) noexcept;
  void follow(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept;
  void advance_state(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept;
  void follow_building(SoundingRing& sounding,
                       float now_db_per_s,
                       std::int64_t now_sample,
                       EventSink& sink) noexcept;
  void follow_ringing(SoundingRing& sounding,
                      float now_db_per_s,
                      std::int64_t now_sample,
                      EventSink& sink) noexcept;
  void follow_fading(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept;
  [[nodiscard]] std::int64_t onset_of(const SoundingRing& sounding,
                                      std::int64_t now_sample) const noexcept;
  static void forget_growth(Scales& scales, std::uint32_t ring_id) noexcept;
  void refine(SoundingRing& sounding) const noexcept;
  static void set_frequency(SoundingRing& sounding,
                            double frequency_hz,
                            double line_sd_hz) noexcept;
  static void lead_with(SoundingRing& sounding, const Scale& scale, Track& track) noexcept;
  [[nodiscard]] std::int64_t before(std::int64_t now_sample, double elapsed_s) const noexcept;
  [[nodiscard]] bool is_due(const SoundingRing& sounding, float now_db_per_s) noexcept;
  void flag(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept;
  [[nodiscard]] bool is_borne_out(const SoundingRing& sounding,
                                  std::int64_t now_sample) const noexcept;
  void end(SoundingRing& sounding, std::int64_t now_sample, EventSink& sink) noexcept;
  void change(SoundingRing& sounding,
              RingState state,
              std::int64_t now_sample,
              EventSink& sink) noexcept;

  double sample_rate_hz_;
  double hop_s_ = 0.0;
  Certainty certainty_;
  Evidence evidence_;
  Places places_;
  SoundingRings rings_;
  std::uint32_t next_id_ = 1;
};

}  // namespace brink::detector
