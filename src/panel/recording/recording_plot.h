#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>

#include "listen/analysis.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "panel/plots/spectrogram.h"
#include "panel/recording/recording_rings.h"

namespace brink::panel {

/// The spectrogram of a whole recording, time across and log frequency up, and its rings on it.
class RecordingPlot {
 public:
  /// Without a texture only the rings are drawn.
  explicit RecordingPlot(std::unique_ptr<StripTexture> texture) : texture_(std::move(texture)) {}

  /// Takes over the picture of one channel, or the loudest of several.
  void show(std::span<const Spectrogram> channels, std::int64_t samples);

  void draw(const Rect& area,
            const listen::Analysis& analysis,
            const RecordingRings& rings,
            int selected,
            const Theme& theme) const;

  /// The place that sounds, if any; over what draw() drew into the same area.
  static void draw_place(const Rect& area,
                         const listen::Analysis& analysis,
                         std::optional<std::int64_t> sample,
                         const Theme& theme);

 private:
  std::unique_ptr<StripTexture> texture_;
  float filled_ = 0.0F;  // share of the texture's columns that the recording takes
};

}  // namespace brink::panel
