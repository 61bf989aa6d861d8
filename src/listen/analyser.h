#pragma once

#include <cstdint>
#include <memory>

#include "io/sound_file.h"
#include "listen/analysis.h"

namespace brink::listen {

/// The analysis of one recording, piece by piece, for a face that shows what was found so far. The
/// memory grows only with channels and rings. One thread at a time.
class Analyser {
 public:
  /// Throws base::Error when the channel does not exist. `reader` must outlive it. `look` is called
  /// on several threads when there are several jobs, never for one channel on two at once.
  Analyser(io::SoundReader& reader, const AnalysisOptions& options, Look look = {});
  ~Analyser();
  Analyser(const Analyser&) = delete;
  Analyser& operator=(const Analyser&) = delete;
  Analyser(Analyser&&) = delete;
  Analyser& operator=(Analyser&&) = delete;

  /// Hears the next piece, less than a second of it. Returns false when there is none.
  [[nodiscard]] bool advance();

  /// The share that was heard, 0 to 1 (0 while it is unknown).
  [[nodiscard]] double done_ratio() const noexcept;

  /// What was found until now. Rings that sound still are there as they are known now.
  [[nodiscard]] Analysis so_far();

  /// Ends it, after the last advance() or before. Throws base::Error when all was heard and no
  /// sample is a finite number. Do not go on after it.
  [[nodiscard]] Analysis finish();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::listen
