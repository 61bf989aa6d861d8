#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <span>
#include <vector>

#include "detector/detector.h"
#include "listen/analysis.h"
#include "show/merge_rings.h"
#include "taps/tap_rings.h"

namespace brink::listen {

/// One channel on its way through its own detector.
struct ChannelLine final : detector::EventSink {
  ChannelLine(int number, const detector::DetectorConfig& config)
      : channel{number}, detector{config} {}

  void on_event(const detector::RingEvent& event) noexcept override { events.push_back(event); }

  int channel;
  detector::Detector detector;
  std::vector<detector::RingEvent> events;  // since RingGatherer collected them
  bool is_silent = true;                    // nothing but exact zeros so far
};

/// Makes rings of what the detectors of all channels say: a ring that sounds on several channels is
/// one ring. One thread at a time.
class RingGatherer {
 public:
  RingGatherer(const std::vector<ChannelLine>& lines,
               double sample_rate_hz,
               const AnalysisOptions& options);

  /// Takes the events of a piece that each line has heard; hear() comes before the next piece's.
  void collect(std::vector<ChannelLine>& lines);

  /// Hears the piece that was collected; the lines may hear the next one meanwhile. `channels`: of
  /// each line, of equal length.
  void hear(std::span<const std::span<const float>> channels);

  /// After each line has finished.
  void finish(std::vector<ChannelLine>& lines);

  /// Adds the channels and the rings, without cuts.
  void gather(const std::vector<ChannelLine>& lines, Analysis& analysis) const;

 private:
  /// What is known of a ring beside what its detector says.
  struct Told {
    int channel = 1;
    taps::RingShares shares;
  };

  void take();
  void settle();

  bool keeps_unsure_;
  std::vector<int> channels_;                              // of each tap
  std::vector<std::vector<detector::RingEvent>> pending_;  // of each tap, collected
  taps::TapRings rings_;
  show::RingList list_;
  std::map<std::uint32_t, Told> told_;  // by the ring's id, for those in list_
  std::map<std::size_t, int> copies_;   // by tap
  std::int64_t heard_ = 0;
};

}  // namespace brink::listen
