#include "panel/recording/recording_view.h"

#include <algorithm>

#include "panel/plots/frequency_axis.h"

namespace brink::panel {

void RecordingView::open(std::int64_t samples, double sample_rate_hz) {
  samples_ = static_cast<double>(samples);
  sample_rate_hz_ = sample_rate_hz;
  show_all();
}

void RecordingView::grow(std::int64_t samples) {
  const bool was_whole = is_whole();
  samples_ = static_cast<double>(samples);
  if (was_whole) {
    show_all();
  }
}

void RecordingView::show_all() noexcept {
  from_ = 0.0;
  to_ = samples_;
}

void RecordingView::set(double from, double span) {
  span = std::clamp(span, std::min(kLeastSpanS * sample_rate_hz_, samples_), samples_);
  from_ = std::clamp(from, 0.0, samples_ - span);
  to_ = from_ + span;
}

void RecordingView::zoom(double factor, double share) {
  const double span = to_ - from_;
  const double least = std::min(kLeastSpanS * sample_rate_hz_, samples_);
  const double new_span = std::clamp(factor * span, least, samples_);
  set(from_ + share * (span - new_span), new_span);
}

void RecordingView::pan(double share) {
  const double span = to_ - from_;
  set(from_ + share * span, span);
}

void RecordingView::bring(double sample) {
  constexpr double kEdge = 0.1;  // of the view: what is brought shall not touch the edge
  const double span = to_ - from_;
  if (sample < from_ + kEdge * span) {
    set(sample - kEdge * span, span);
  } else if (sample > to_ - kEdge * span) {
    set(sample - (1.0 - kEdge) * span, span);
  }
}

Rect PlotScale::strip(int of_channel) const noexcept {
  if (strips() == 1) {
    return plot;
  }
  const float height = plot.height() / static_cast<float>(strips());
  const float top = plot.top + static_cast<float>(of_channel - 1) * height;
  return {plot.left, top, plot.right, top + height};
}

float PlotScale::x_of(double sample) const noexcept {
  return plot.left + plot.width() * static_cast<float>((sample - from) / (to - from));
}

double PlotScale::sample_at(float x) const noexcept {
  return from + (to - from) * static_cast<double>((x - plot.left) / plot.width());
}

float PlotScale::y_of(double frequency_hz, int of_channel) const noexcept {
  return frequency_y(strip(of_channel), frequency_hz);
}

int PlotScale::channel_at(float y) const noexcept {
  if (strips() == 1) {
    return channel == 0 ? 1 : channel;
  }
  const float height = plot.height() / static_cast<float>(strips());
  return std::clamp(1 + static_cast<int>((y - plot.top) / height), 1, channels);
}

double PlotScale::hz_at(float y) const noexcept {
  const Rect area = strip(channel_at(y));
  return FrequencyAxis::to_hz(static_cast<double>((area.bottom - y) / area.height()));
}

}  // namespace brink::panel
