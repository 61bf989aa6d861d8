#pragma once

#include <compare>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <stop_token>
#include <string>
#include <vector>

#include "base/background.h"
#include "cuts/planner.h"
#include "cuts/target.h"
#include "listen/analysis.h"
#include "listen/danger.h"

namespace brink::panel {

/// Which ring of a recording: stays what it is while channels and order change.
struct RingKey {
  int channel = 1;  ///< from 1
  std::uint32_t id = 0;

  friend auto operator<=>(const RingKey&, const RingKey&) = default;
};

/// The rings of a recording, of one channel or of all, as rows of places. Their cuts are fitted to
/// a target on a thread of its own; those for all together follow the rows that are ticked.
class RecordingRings {
 public:
  RecordingRings() = default;
  ~RecordingRings();
  RecordingRings(const RecordingRings&) = delete;
  RecordingRings& operator=(const RecordingRings&) = delete;
  RecordingRings(RecordingRings&&) = delete;
  RecordingRings& operator=(RecordingRings&&) = delete;

  /// `channel` from 1; 0: all. Ticks stay.
  void show(std::shared_ptr<const listen::Analysis> analysis, int channel);
  void sort(listen::RowOrder order);

  [[nodiscard]] listen::RowOrder order() const noexcept { return order_; }

  /// Once a pass: asks for what is not fitted to this target yet, takes what is.
  void fit(const cuts::Target& target, const std::function<void()>& on_news);

  [[nodiscard]] const std::vector<listen::FoundRing>& rings() const noexcept {
    return channel_ == 0 ? analysis_->rings : of_channel_;
  }

  /// What the list shows. Indices of rings are into rings().
  [[nodiscard]] const std::vector<listen::PlaceRow>& rows() const noexcept { return rows_; }

  /// What stands for rows()[i].
  [[nodiscard]] const listen::FoundRing& loudest(std::size_t i) const noexcept {
    return rings()[rows_[i].place.loudest];
  }

  [[nodiscard]] RingKey key(std::size_t i) const noexcept {
    return {loudest(i).channel, loudest(i).ring.id};
  }

  /// The row in which that ring stands, by itself or folded.
  [[nodiscard]] std::optional<std::size_t> row_of(RingKey ring) const noexcept;

  /// All rows are ticked until the user takes one out.
  [[nodiscard]] bool is_ticked(std::size_t i) const { return !left_out_.contains(key(i)); }

  void tick(std::size_t i, bool is_ticked);

  [[nodiscard]] const std::set<RingKey>& left_out() const noexcept { return left_out_; }

  void leave_out(std::set<RingKey> keys);

  [[nodiscard]] bool is_fitted() const noexcept { return is_fitted_; }

  /// Of the target fitted to.
  [[nodiscard]] cuts::Target::Kind kind() const noexcept { return kind_; }

  /// For rows()[i] by itself, once is_fitted(); empty where the target has no band.
  [[nodiscard]] const std::vector<cuts::Cut>& cuts(std::size_t i) const {
    return fitted_.each[rows_[i].place.loudest];
  }

  /// For all that are ticked together, once is_fitted(). `for_rings`: indices into rings().
  [[nodiscard]] const std::vector<cuts::Move>& shared() const noexcept { return fitted_.shared; }

  /// The same as a setting of the equaliser.
  [[nodiscard]] cuts::Setting shared_setting() const;

 private:
  struct Fitted {
    std::vector<std::vector<cuts::Cut>> each;
    std::vector<cuts::Move> shared;
  };

  /// What is to be fitted, for the thread that does it.
  struct Task {
    std::vector<cuts::Cut> each;
    std::vector<std::size_t> ticked;              // indices of rings
    std::vector<cuts::RingMeasurement> measured;  // of those
    cuts::Target target;
    double sample_rate_hz = 48000.0;
  };

  static Fitted fit_all(const std::stop_token& stop, const Task& task);
  [[nodiscard]] Task task(const cuts::Target& target) const;
  void drop_fit();

  // Shared, since an evening's rings are megabytes.
  std::shared_ptr<const listen::Analysis> analysis_ = std::make_shared<listen::Analysis>();
  int channel_ = 0;                            // from 1; 0: all
  std::vector<listen::FoundRing> of_channel_;  // empty for all
  listen::RowOrder order_ = listen::RowOrder::kDanger;
  std::vector<listen::PlaceRow> rows_;
  std::set<RingKey> left_out_;
  std::string target_name_;                                    // that is being or was fitted to
  cuts::Target::Kind kind_ = cuts::Target::Kind::kParametric;  // its
  bool is_asked_ = false;
  bool is_fitted_ = false;
  Fitted fitted_;
  std::stop_source stop_;
  base::Background<Fitted> fitting_;
};

}  // namespace brink::panel
