#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cuts/propose.h"
#include "detector/detector.h"
#include "detector/ring.h"
#include "io/sound_file.h"

namespace brink::listen {

/// A ring as the whole recording shows it. `ring.state` is the last one before it was gone; growth
/// and frequency are as known up to its height, before it decayed into the programme.
struct FoundRing {
  int channel = 1;  ///< from 1
  detector::Ring ring;
  cuts::Cut cut;  ///< for this ring by itself; meaningless for one that never was certain
};

struct AnalysedChannel {
  int channel = 1;  ///< from 1
  detector::InputCounts counts;
};

struct Analysis {
  std::string file;
  double sample_rate_hz = 0.0;
  std::int64_t samples = 0;  ///< of each channel, as far as could be read
  int channels = 0;          ///< of the file
  std::vector<AnalysedChannel> analysed;
  std::vector<FoundRing> rings;       ///< reached `ringing`; by onset, then by channel
  std::vector<FoundRing> unsure;      ///< never did; only kept when asked for; the same order
  std::vector<cuts::SharedCut> cuts;  ///< `for_rings`: indices into `rings`
  std::string shortfall;              ///< SoundReader::shortfall()
  bool was_stopped = false;           ///< Progress asked for it

  [[nodiscard]] double to_s(std::int64_t sample) const noexcept {
    return static_cast<double>(sample) / sample_rate_hz;
  }

  [[nodiscard]] double duration_s() const noexcept { return to_s(samples); }
};

struct AnalysisOptions {
  std::optional<int> channel;  ///< from 1; every channel when none is named
  bool wants_unsure = false;   ///< the list then grows with every suspicion, not only with rings
};

/// Called after each block with the share done, 0 to 1 (0 while unknown). False stops the work.
using Progress = std::function<bool(double done_ratio)>;

/// Called after each look of a channel's detector, with the samples heard until then: for a face
/// that draws spectra.
using Look =
    std::function<void(int channel, std::int64_t sample_count, const detector::Detector& detector)>;

/// Finds the rings of a whole recording, one detector for each channel: the cost is linear in
/// length and channels, the memory grows with channels and rings alone. Throws base::Error when
/// there is no such channel, or when not one sample is a finite number.
[[nodiscard]] Analysis analyse(io::SoundReader& reader,
                               const AnalysisOptions& options,
                               const Progress& progress,
                               const Look& look = {});

/// A ring of a recording as far as a cut follows from it: it is over, no more evidence will follow,
/// so its growth is trusted_growth().
[[nodiscard]] cuts::RingMeasurement to_measurement(const FoundRing& found,
                                                   const Analysis& analysis);

/// What the user should know about the input, one sentence each: cut short, samples that are no
/// numbers. Empty when all is well.
[[nodiscard]] std::vector<std::string> warnings(const Analysis& analysis);

}  // namespace brink::listen
