#include "loop/equaliser.h"

#include <algorithm>

namespace brink::loop {

double Equaliser::Row::step(double sample) noexcept {
  for (std::size_t at = 0; at < count; ++at) {
    sample = sections[at].step(sample);
  }
  return sample;
}

void Equaliser::Row::set(std::span<const base::Biquad> to) noexcept {
  count = to.size();
  for (std::size_t at = 0; at < count; ++at) {
    sections[at].set_section(to[at]);
    sections[at].reset();
  }
}

bool Equaliser::change(std::span<const base::Biquad> sections) noexcept {
  if (sections.size() > kMostSections) {
    return false;
  }
  std::copy(sections.begin(), sections.end(), waiting_.begin());
  waiting_count_ = sections.size();
  is_waiting_ = true;
  if (fade_left_ == 0) {
    start_change();
  }
  return true;
}

void Equaliser::start_change() noexcept {
  is_waiting_ = false;
  current_ = 1 - current_;
  rows_[current_].set(std::span{waiting_}.first(waiting_count_));
  fade_left_ = fade_samples_;
}

double Equaliser::step(double sample) noexcept {
  const double now = rows_[current_].step(sample);
  if (fade_left_ == 0) {
    return now;
  }
  const double before = rows_[1 - current_].step(sample);
  --fade_left_;
  const double old_share = static_cast<double>(fade_left_) / fade_samples_;
  if (fade_left_ == 0 && is_waiting_) {
    start_change();
  }
  return now + old_share * (before - now);
}

}  // namespace brink::loop
