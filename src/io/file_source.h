#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "io/sound_file.h"
#include "io/source.h"

namespace brink::io {

/// A recording as a source. Every channel is a tap. It is read as fast as possible. [analysis]
class FileSource final : public Source {
 public:
  /// Throws base::Error as SoundReader does.
  explicit FileSource(const std::string& path);

  [[nodiscard]] const std::string& name() const noexcept override { return reader_.path(); }

  [[nodiscard]] double sample_rate_hz() const noexcept override { return reader_.sample_rate_hz(); }

  [[nodiscard]] const std::vector<int>& taps() const noexcept override { return taps_; }

  [[nodiscard]] bool is_live() const noexcept override { return false; }

  [[nodiscard]] SourceReading read(std::span<float> samples) override;

 private:
  SoundReader reader_;
  std::vector<int> taps_;
  std::size_t taken_ = 0;      // samples taken from the reader's present block
  std::size_t available_ = 0;  // samples in that block
};

}  // namespace brink::io
