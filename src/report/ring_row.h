#pragma once

#include <optional>
#include <string>
#include <vector>

#include "listen/analysis.h"

namespace brink::report {

/// The values of a cut, as in every file.
struct CutRow {
  double centre_hz = 0.0;
  double q = 0.0;
  double depth_db = 0.0;
};

/// What a ring has to do with one microphone.
struct ShareRow {
  int channel = 1;
  std::string name;  ///< may be empty
  double share = 0.0;
  double level_dbfs = 0.0;
};

/// One ring, as in every file. Times are in seconds of the stream. Each number is rounded to less
/// than its own uncertainty: a thousandth of a hertz is 0.02 cents at 100 Hz, and a tenth of a
/// millisecond is four samples.
struct RingRow {
  int channel = 1;
  std::string state;
  double frequency_hz = 0.0;
  double frequency_sd_hz = 0.0;
  double frequency_low_hz = 0.0;
  double frequency_high_hz = 0.0;
  std::uint32_t place = 0;  ///< rings of one place share it; 0: never flagged
  double onset_s = 0.0;
  std::optional<double> flagged_s;  ///< none: never certain
  std::optional<double> ended_s;    ///< none: it still sounded
  double growth_db_per_s = 0.0;
  double peak_dbfs = 0.0;
  double confidence = 0.0;
  std::string note;
  std::optional<CutRow> cut;     ///< none: never certain, so no cut
  std::vector<ShareRow> shares;  ///< the largest first; empty with one channel
  int output = 0;                ///< channel of the output that carries most of it; 0: not known
  double output_share = 0.0;
  std::string where;  ///< the same in words; empty with one channel
  std::string first;  ///< what to do first
};

[[nodiscard]] CutRow to_row(const cuts::Cut& cut);
[[nodiscard]] RingRow to_row(const listen::FoundRing& found,
                             double sample_rate_hz,
                             const show::ChannelNames& names = {});
/// To the nearest whole multiple of 10^-`decimals`.
[[nodiscard]] double round_to_decimals(double value, int decimals) noexcept;

}  // namespace brink::report
