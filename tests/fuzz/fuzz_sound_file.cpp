// Any bytes as a recording: reader, detector, cuts and reports must take or refuse them in peace.

#include <cstdint>
#include <string>

#include "fuzz/fuzz.h"
#include "io/sound_file.h"
#include "listen/analysis.h"
#include "report/analysis/analysis_csv.h"
#include "report/analysis/analysis_json.h"
#include "report/analysis/analysis_text.h"

using namespace brink;

namespace {

/// A few bytes of FLAC can promise hours; this is enough for every rule of the detector.
constexpr int kMostBlocks = 40;

void analyse_bytes(const std::string& path) {
  io::SoundReader reader(path);
  int blocks = 0;
  const listen::AnalysisOptions first_channel{1, 0.0, true};
  const listen::Analysis analysis =
      listen::analyse(reader, first_channel, [&](double) { return ++blocks < kMostBlocks; });
  const std::string reports = report::report_text(analysis, true) +
                              report::report_json(analysis, true) +
                              report::report_csv(analysis, true);
  fuzz::demand(!reports.empty() && analysis.samples >= 0);
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const fuzz::MemoryFile file(fuzz::to_text(data, size));
  (void)fuzz::is_taken([&] { analyse_bytes(file.path()); });
  return 0;
}
