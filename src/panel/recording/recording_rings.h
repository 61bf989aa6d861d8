#pragma once

#include <functional>
#include <memory>
#include <stop_token>
#include <string>
#include <vector>

#include "base/background.h"
#include "cuts/planner.h"
#include "cuts/target.h"
#include "listen/analysis.h"

namespace brink::panel {

/// The rings of a recording, of one channel or of all, with their cuts fitted to a target on a
/// thread of its own.
class RecordingRings {
 public:
  RecordingRings() = default;
  ~RecordingRings();
  RecordingRings(const RecordingRings&) = delete;
  RecordingRings& operator=(const RecordingRings&) = delete;
  RecordingRings(RecordingRings&&) = delete;
  RecordingRings& operator=(RecordingRings&&) = delete;

  /// `channel` from 1; 0: all.
  void show(const listen::Analysis& analysis, int channel);

  /// Once a pass: asks for what is not fitted to this target yet, takes what is.
  void fit(const cuts::Target& target, const std::function<void()>& on_news);

  [[nodiscard]] const std::vector<listen::FoundRing>& rings() const noexcept { return rings_; }

  /// Their places: what the list shows, one row each.
  [[nodiscard]] const std::vector<listen::FoundPlace>& places() const noexcept { return places_; }

  /// What stands for places()[i].
  [[nodiscard]] const listen::FoundRing& loudest(std::size_t i) const noexcept {
    return rings_[places_[i].loudest];
  }

  [[nodiscard]] bool is_fitted() const noexcept { return is_fitted_; }

  /// Of the target fitted to.
  [[nodiscard]] cuts::Target::Kind kind() const noexcept { return kind_; }

  /// For places()[i] by itself, once is_fitted(); empty where the target has no band.
  [[nodiscard]] const std::vector<cuts::Cut>& cuts(std::size_t i) const {
    return fitted_.each[places_[i].loudest];
  }

  /// For all of them together, once is_fitted().
  [[nodiscard]] const std::vector<cuts::Move>& shared() const noexcept { return fitted_.shared; }

 private:
  struct Fitted {
    std::vector<std::vector<cuts::Cut>> each;
    std::vector<cuts::Move> shared;
  };

  static Fitted fit_all(const std::stop_token& stop,
                        const std::vector<listen::FoundRing>& rings,
                        const std::vector<cuts::RingMeasurement>& measured,
                        const cuts::Target& target,
                        double sample_rate_hz);
  void drop_fit();

  std::vector<listen::FoundRing> rings_;
  std::vector<listen::FoundPlace> places_;
  std::vector<cuts::RingMeasurement> measured_;
  double sample_rate_hz_ = 48000.0;
  std::string target_name_;                                    // that is being or was fitted to
  cuts::Target::Kind kind_ = cuts::Target::Kind::kParametric;  // its
  bool is_asked_ = false;
  bool is_fitted_ = false;
  Fitted fitted_;
  std::stop_source stop_;
  base::Background<Fitted> fitting_;
};

}  // namespace brink::panel
