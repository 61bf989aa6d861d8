#include "panel/plots/time_strip.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "panel/draw/draw.h"
#include "panel/plots/spectrum_plot.h"

namespace brink::panel {
TimeStrip::TimeStrip(std::unique_ptr<StripTexture> texture)
    : texture_(std::move(texture)),
      loudest_dbfs_(StripTexture::kColumns, kDarkDbfs),
      columns_dbfs_(StripTexture::kColumns),
      pixels_(StripTexture::kColumns) {}

void TimeStrip::clear() {
  stretches_.clear();
  darken();
  stream_s_ = 0.0;
  row_count_ = 0;
}

void TimeStrip::show_tap(int tap) {
  tap_ = tap;
  darken();
}

void TimeStrip::darken() {
  std::fill(loudest_dbfs_.begin(), loudest_dbfs_.end(), kDarkDbfs);
  std::fill(pixels_.begin(), pixels_.end(), level_colour(kDarkDbfs));
  for (int row = 0; row < StripTexture::kRows; ++row) {
    texture_->write_row(row, pixels_);
  }
}

void TimeStrip::take(const show::SessionEvent& event) {
  if (!show::is_of_ring(event.kind)) {
    return;
  }
  for (Stretch& stretch : stretches_) {
    if (stretch.to_s < 0.0 && stretch.ring_id == event.ring.id) {
      stretch.to_s = event.stream_s;
    }
  }
  if (!show::ends_ring(event.kind)) {
    stretches_.push_back({event.tap,
                          event.ring.id,
                          event.ring.state,
                          event.ring.frequency_hz,
                          event.stream_s,
                          -1.0});
  }
  std::erase_if(stretches_, [&](const Stretch& stretch) {
    return stretch.to_s >= 0.0 && stretch.to_s < event.stream_s - kShownS;
  });
}

void TimeStrip::look(double stream_s,
                     std::span<const float> frequencies_hz,
                     std::span<const float> levels_dbfs) {
  stream_s_ = stream_s;
  to_columns(frequencies_hz, levels_dbfs, columns_dbfs_);
  for (std::size_t i = 0; i < columns_dbfs_.size(); ++i) {
    loudest_dbfs_[i] = std::max(loudest_dbfs_[i], columns_dbfs_[i]);
  }
  const auto due = static_cast<std::int64_t>(stream_s / kShownS * StripTexture::kRows);
  if (due <= row_count_) {
    return;
  }
  std::transform(loudest_dbfs_.begin(), loudest_dbfs_.end(), pixels_.begin(), level_colour);
  const std::int64_t first = std::max(row_count_, due - StripTexture::kRows);
  for (std::int64_t row = first; row < due; ++row) {
    texture_->write_row(static_cast<int>(row % StripTexture::kRows), pixels_);
  }
  row_count_ = due;
  std::fill(loudest_dbfs_.begin(), loudest_dbfs_.end(), kDarkDbfs);
}

void TimeStrip::draw(const Rect& plot, const FrequencyAxis& axis, const Theme& theme) const {
  const float newest = static_cast<float>(row_count_ % StripTexture::kRows) / StripTexture::kRows;
  canvas().AddImage(texture_->id(),
                    ImVec2(plot.left, plot.top),
                    ImVec2(plot.right, plot.bottom),
                    ImVec2(0.0F, newest),
                    ImVec2(1.0F, newest + 1.0F));
  draw_octave_lines(axis, plot);
  const auto y_of = [&](double time_s) {
    const double back = std::clamp((stream_s_ - time_s) / kShownS, 0.0, 1.0);
    return plot.bottom - plot.height() * static_cast<float>(back);
  };
  for (const Stretch& stretch : stretches_) {
    if (tap_ != kAllTaps && stretch.tap != tap_) {
      continue;
    }
    const float x = axis.x_of(stretch.frequency_hz);
    const float top = y_of(stretch.from_s);
    const float bottom = y_of(stretch.to_s < 0.0 ? stream_s_ : stretch.to_s);
    const bool is_certain = stretch.state == detector::RingState::kRinging;
    canvas().AddLine(ImVec2(x, top),
                     ImVec2(x, bottom),
                     state_colour(stretch.state),
                     theme.px(is_certain ? 4.0F : 2.0F));
  }
  const float x = plot.left - theme.px(8.0F);
  draw_text(theme.small, x, plot.top, colour::kQuiet, "-20 s", Align::kRight);
  draw_text(
      theme.small, x, plot.bottom - theme.small->FontSize, colour::kQuiet, "now", Align::kRight);
}

}  // namespace brink::panel
