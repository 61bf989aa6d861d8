#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/propose.h"
#include "detector/detector.h"
#include "detector/ring.h"
#include "io/sound_file.h"
#include "show/channel_names.h"
#include "taps/ring_shares.h"

namespace brink::listen {

/// A ring as the whole recording shows it. `ring.state` is the last state before the ring was gone.
/// Its growth and frequency are those up to its highest level, before it decayed into the
/// programme.
struct FoundRing {
  int channel = 1;  ///< from 1; the one to name first where several were heard
  detector::Ring ring;
  cuts::Cut cut;  ///< for this ring alone; meaningless when the ring never was certain
  taps::RingShares shares = {};  ///< as last measured; empty with one channel
};

struct AnalysedChannel {
  int channel = 1;  ///< from 1
  detector::InputCounts counts;
  int copy_of = 0;         ///< the channel whose sound it carries too; 0: its own
  bool is_silent = false;  ///< nothing but exact zeros
};

struct Analysis {
  std::string file;
  double sample_rate_hz = 0.0;
  std::int64_t samples = 0;  ///< of each channel, as far as they could be read
  int channels = 0;          ///< of the file
  std::vector<AnalysedChannel> analysed;
  std::vector<FoundRing> rings;  ///< rings that reached `ringing`; sorted by onset, then by channel
  /// Rings that reached it before what followed spoke against them; the same order.
  std::vector<FoundRing> withdrawn;
  /// Rings that never did, in the same order; only kept when asked for.
  std::vector<FoundRing> unsure;
  /// For all rings together, but those that are folded under a louder one (listen/danger.h).
  /// `for_rings`: indices into `rings`.
  std::vector<cuts::SharedCut> cuts;
  show::ChannelNames names;  ///< as asked for, else as the recording has them
  std::string shortfall;     ///< as from SoundReader::shortfall()
  bool was_stopped = false;  ///< a Progress call asked to stop

  /// Time in seconds of a sample, from the start of the recording.
  [[nodiscard]] double to_s(std::int64_t sample) const noexcept {
    return static_cast<double>(sample) / sample_rate_hz;
  }

  [[nodiscard]] double duration_s() const noexcept { return to_s(samples); }
};

struct AnalysisOptions {
  std::optional<int> channel;  ///< from 1; nothing means every channel
  double sure = 0.0;           ///< DetectorConfig::sure
  bool wants_unsure = false;  ///< the list then grows with every suspicion, not only with the rings
  /// Threads that hear channels side by side, at least 1. The result is the same with any number,
  /// bit for bit.
  int jobs = 1;
  show::ChannelNames names = {};  ///< and which channels are outputs
};

/// Called after each piece with the share that is done, 0 to 1 (0 while it is unknown). Return
/// false to stop the work.
using Progress = std::function<bool(double done_ratio)>;

/// Called after each look of a channel's detector, with the number of samples heard until then. A
/// window uses it to draw spectra.
using Look =
    std::function<void(int channel, std::int64_t sample_count, const detector::Detector& detector)>;

/// Finds the rings of a whole recording, as Analyser does, with one detector for each channel. A
/// ring that sounds on several channels is one ring. The time is linear in length and channels. The
/// memory grows only with channels and rings. Throws base::Error when the channel does not exist,
/// or when no sample is a finite number.
[[nodiscard]] Analysis analyse(io::SoundReader& reader,
                               const AnalysisOptions& options,
                               const Progress& progress,
                               const Look& look = {});

/// A ring of a recording, as a cut needs it. The ring is over and no more evidence will come, so
/// its growth is cuts::trusted_growth().
[[nodiscard]] cuts::RingMeasurement to_measurement(const FoundRing& found,
                                                   const Analysis& analysis);

/// A place of the loop, with each time that it rang.
struct FoundPlace {
  std::vector<std::size_t> rings;  ///< indices of its rings, by onset
  std::size_t loudest = 0;         ///< the one of them that reached the highest level
};

/// `rings`, sorted as in Analysis::rings, by Ring::place; in the order in which the
/// places rang first. A ring without a place has one of its own.
[[nodiscard]] std::vector<FoundPlace> by_place(std::span<const FoundRing> rings);

/// What the user should know about the input, one sentence each: cut short, samples that are not
/// numbers; of several channels one that is silent, a copy of another, or clipped in more than one
/// sample of a thousand. Empty when all is well.
[[nodiscard]] std::vector<std::string> warnings(const Analysis& analysis);

}  // namespace brink::listen
