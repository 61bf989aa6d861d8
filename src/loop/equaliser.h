#pragma once

#include <array>
#include <span>

#include "base/biquad.h"

namespace brink::loop {

/// The equaliser in the loop: sections one after the other. A change makes no click, because it
/// fades from the old sections to the new ones. Never allocates. [any]
class Equaliser {
 public:
  /// Enough for a third-octave graphic, and some more.
  static constexpr std::size_t kMostSections = 40;

  /// `fade_samples` >= 1: how long a change takes.
  explicit Equaliser(int fade_samples) noexcept : fade_samples_{fade_samples} {}

  /// Starts a change. If another change is running, this one waits for its end. A later call
  /// replaces the change that waits. With more than kMostSections it returns false and changes
  /// nothing.
  bool change(std::span<const base::Biquad> sections) noexcept;

  [[nodiscard]] double step(double sample) noexcept;

 private:
  struct Row {
    std::array<base::BiquadRunner, kMostSections> sections;
    std::size_t count = 0;

    double step(double sample) noexcept;
    void set(std::span<const base::Biquad> to) noexcept;
  };

  void start_change() noexcept;

  int fade_samples_;
  int fade_left_ = 0;
  bool is_waiting_ = false;
  std::array<base::Biquad, kMostSections> waiting_{};
  std::size_t waiting_count_ = 0;
  std::array<Row, 2> rows_;
  std::size_t current_ = 0;
};

}  // namespace brink::loop
