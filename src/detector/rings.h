#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "detector/measures.h"
#include "detector/places.h"
#include "detector/ring.h"
#include "detector/standing.h"

namespace brink::detector {

/// Sums evidence for each track, decides, and keeps the rings through their states.
///
/// Sequential detection: every look adds its log odds (rules.h) times time to a sum
/// that never falls below 0 (E. S. Page, "Continuous inspection schemes", Biometrika 41, 1954,
/// after A. Wald's sequential test). A strong line is certain after a tenth of a second, a weak one
/// after a second of weak evidence. Constructing allocates, the rest does not. [analysis]
class Rings {
 public:
  /// `sure`: a ring is flagged when its confidence has reached it, too; 0 to 0.99.
  explicit Rings(double sample_rate_hz, double sure = 0.0);

  /// After the tracks of every scale have advanced; `now_sample`: samples heard so far.
  void advance(std::span<Scale> scales, std::int64_t now_sample, EventSink& sink) noexcept;

  /// Every ring that still sounds is gone.
  void finish(std::int64_t now_sample, EventSink& sink) noexcept;

  [[nodiscard]] const Ring* find(std::uint32_t id) const noexcept;

  /// Where rings were flagged so far.
  [[nodiscard]] std::span<const Place> places() const noexcept { return places_.all(); }

 private:
  /// A ring that sounds, and what it takes to follow it.
  struct Active {
    Ring ring;
    double rise_db_per_s = 0.0;  ///< slope of the growth, kept while it fades
    double line_sd_hz = 0.0;     ///< of ring.frequency_hz, as far as noise alone blurs its line
    float evidence = 0.0F;       ///< the most so far
    int unseen_hops = 0;
    int fading_hops = 0;
    const Track* lead = nullptr;  ///< the track that shows it best now
    const Scale* lead_scale = nullptr;
    std::uint32_t last_lead = 0;  ///< Track::id in lead_scale that showed it before
  };

  /// What one look says: log odds of the strongest line, and how many looks back it began.
  struct Growth {
    float log_odds = 0.0F;
    int looks = 0;  ///< 0: nothing has grown
    float db_per_s = 0.0F;
  };

  [[nodiscard]] Growth strongest_growth(const Scale& scale, const Track& track) const noexcept;
  void judge(const Scale& scale, Track& track, std::int64_t now_sample, EventSink& sink) noexcept;
  void follow(Active& active, std::int64_t now_sample, EventSink& sink) noexcept;
  void advance_state(Active& active, std::int64_t now_sample, EventSink& sink) noexcept;
  [[nodiscard]] std::int64_t onset_of(const Active& active, std::int64_t now_sample) const noexcept;
  static void forget_growth(std::span<Scale> scales, std::uint32_t ring_id) noexcept;
  void refine(Active& active) const noexcept;
  static void set_frequency(Active& active, double frequency_hz, double line_sd_hz) noexcept;
  static void lead_with(Active& active, const Scale& scale, Track& track) noexcept;
  [[nodiscard]] std::int64_t before(std::int64_t now_sample, double elapsed_s) const noexcept;
  Active* led_by(const Scale& scale, const Track& track) noexcept;
  Active* at(const Scale& scale, const Track& track, const Active* other_than = nullptr) noexcept;
  [[nodiscard]] static bool has_peak(const Scale& scale, std::uint32_t ring_id) noexcept;
  [[nodiscard]] bool is_made_by_rings(float frequency_hz, float level_dbfs) const noexcept;
  [[nodiscard]] bool is_under_loud_ring(const Track& track) const noexcept;
  [[nodiscard]] bool is_far_under_loud_ring(const Ring& ring) const noexcept;
  [[nodiscard]] float certain_at(const Active& active) noexcept;
  void flag(Active& active, std::int64_t now_sample, EventSink& sink) noexcept;
  [[nodiscard]] bool is_borne_out(const Active& active, std::int64_t now_sample) const noexcept;
  void end(Active& active, std::int64_t now_sample, EventSink& sink) noexcept;
  void change(Active& active, RingState state, std::int64_t now_sample, EventSink& sink) noexcept;

  double sample_rate_hz_;
  float certain_;  ///< nat-seconds: from here a ring is flagged
  double hop_s_ = 0.0;
  Surroundings surroundings_;
  Standing standing_;
  Places places_;
  std::vector<Active> active_;
  std::uint32_t next_id_ = 1;
};

}  // namespace brink::detector
