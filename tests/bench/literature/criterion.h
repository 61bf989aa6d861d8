#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/vector_fft.h"

namespace brink::bench {

/// What a criterion finds howling in one look.
struct Howl {
  double position_bins = 0.0;
  std::size_t bin = 0;  ///< NINOS2-T alone: the bin that fired
  double value = 0.0;   ///< NINOS2-T alone: what was held against the threshold
};

/// A published howling criterion with its own windows and hops.
class Criterion {
 public:
  Criterion() = default;
  Criterion(const Criterion&) = delete;
  Criterion& operator=(const Criterion&) = delete;
  Criterion(Criterion&&) = delete;
  Criterion& operator=(Criterion&&) = delete;
  virtual ~Criterion() = default;

  [[nodiscard]] virtual int window_samples() const = 0;
  [[nodiscard]] virtual int hop_samples() const = 0;
  /// The window function, window_samples() long.
  [[nodiscard]] virtual std::vector<float> window() const = 0;
  /// `power`: magnitude squared of the newest window's transform, one-sided.
  [[nodiscard]] virtual std::vector<Howl> look(std::span<const float> power) = 0;
};

struct CriterionOptions {
  double sample_rate_hz = 48000.0;
  std::optional<double> threshold;  ///< the criterion's own published one when none is given
  std::optional<int> looks =
      std::nullopt;  ///< of memory, at least 1; NINOS2-T alone, 32 when none is given
};

/// "phpr-ipmp", "fep" or "ninos2-t"; null for any other name.
[[nodiscard]] std::unique_ptr<Criterion> make_criterion(std::string_view name,
                                                        const CriterionOptions& options);

/// A ring as a criterion reports it: repeated detections merged.
struct CriterionRing {
  double frequency_hz = 0.0;
  std::int64_t flagged_sample = 0;
  std::int64_t last_sample = 0;
};

/// Runs a criterion over a stream and merges what it says into rings.
///
/// Merge rule: a detection within a twentieth of an octave of a ring (half the 1/10-octave notch
/// that the papers set there) and no more than a second after that ring's last detection is the
/// same ring. A ring has the frequency and the time of its first detection, as a live listener
/// would get them.
class CriterionRun {
 public:
  CriterionRun(std::unique_ptr<Criterion> criterion, double sample_rate_hz);

  void push(std::span<const float> samples);

  [[nodiscard]] const std::vector<CriterionRing>& rings() const noexcept { return rings_; }

 private:
  void look();
  void report(double frequency_hz);

  std::unique_ptr<Criterion> criterion_;
  double sample_rate_hz_;
  base::VectorFft fft_;
  std::vector<float> window_;
  std::vector<float> newest_;  ///< the newest window, oldest sample first
  std::size_t until_look_;
  std::int64_t heard_samples_ = 0;
  std::vector<CriterionRing> rings_;
};

}  // namespace brink::bench
