#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "io/sound_file.h"

namespace brink::listen {

/// Keeps what a session hears in a WAV file. It grows under its own name and is a whole file at
/// every second, since an evening that was heard must outlive a killed program and a full disk: a
/// fault ends the recording, not the session, and leaves what was kept until then.
class Recording {
 public:
  /// A new file. Throws base::Error when one is there, it cannot be written or is not called .wav.
  Recording(const std::string& path, double sample_rate_hz, std::size_t tap_count);

  /// One span for each tap, all equally long. [analysis]
  void write(std::span<const std::span<const float>> block);
  /// Writes silence in place of lost samples. [analysis]
  void write_lost(std::int64_t sample_count);
  /// Finishes the file. A failure becomes a fault(). [analysis]
  void close();

  /// One sentence once the recording has failed. [any]
  [[nodiscard]] std::optional<std::string> fault() const;

 private:
  template <typename Work>
  void guard(const Work& work);

  std::optional<io::SoundWriter> writer_;
  std::int64_t update_samples_;
  std::int64_t unsaid_samples_ = 0;  // samples written since the header was updated
  std::size_t tap_count_;
  std::string sentence_;  // written before has_fault_ is set, and never after
  std::atomic<bool> has_fault_{false};
};

}  // namespace brink::listen
