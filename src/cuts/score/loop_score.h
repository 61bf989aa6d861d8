#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "cuts/score/score.h"

namespace brink::cuts {

/// Score of a measured loop. An equaliser turns the phase too, so the crossings are looked for
/// again on the product of loop and equaliser. It is made for cuts, which amplify nowhere and turn
/// the phase by less than a third of a turn. Two parts of the loop are left out: what lies more
/// than 16 dB below the highest crossing, and what lies more than 120 degrees from a whole turn of
/// phase. Single precision.
class LoopScore final : public Score {
 public:
  /// `slot_count`: filters of the equaliser, all off at the start. The loop is copied.
  LoopScore(const LoopGain& loop, std::size_t slot_count, double sample_rate_hz);

  void set_sharpness(int doublings) override;
  double try_change(std::size_t index, const Shape& now, double limit_power) override;
  void make_change() override;

  double soft_power() const override { return to_power(state_.sum); }

  Crossing highest() const override;

 private:
  static constexpr std::size_t kPoints = 32;
  using Values = std::array<float, kPoints>;

  /// The crossings of a block, summed up.
  struct Level {
    float highest = 0.0F;     // power
    double sum = 0.0;         // of power^p
    std::uint32_t cells = 0;  // a bit for each cell in which the imaginary part changes its sign
  };

  /// Points of the loop that are near to each other in frequency. Two points side by side are
  /// neighbours unless a gap is marked.
  struct Block {
    float loop_power = 0.0F;  // the highest squared magnitude in the block without equaliser
    std::size_t count = 0;
    int version = 0;  // number of the equaliser state that re and im hold
    int tried = 0;    // the try that filled tried_re, tried_im and tried_level
    Level tried_level;
    std::uint32_t cells = 0;  // of re and im: with a crossing, or half a turn from one
    std::uint32_t gaps = 0;   // a bit for each point that has no neighbour after it
    std::array<double, kPoints> frequency_hz{};
    Values t{};
    Values inverse_t{};
    Values loop_re{};
    Values loop_im{};
    Values re{};  // loop times equaliser
    Values im{};
    Values tried_re{};
    Values tried_im{};

    [[nodiscard]] WarpedAxis axis() const noexcept { return {t.data(), inverse_t.data(), kPoints}; }
  };

  /// The present crossings. From these the effect of a change on them is foreseen.
  struct Crossings {
    std::vector<float> t;
    std::vector<float> inverse_t;
    std::vector<float> power;
    std::vector<float> level_slope;  // change of ln|L| along the loop per radian of its phase
    std::vector<float> ratio_re;     // scratch
    std::vector<float> ratio_im;
  };

  struct State {
    double sum = 0.0;
    float highest = 0.0F;
    std::size_t highest_block = 0;
    std::size_t block_count = 0;  // number of blocks that counted
  };

  void take_in(const LoopGain& loop, double sample_rate_hz);
  void append(const LoopGain& loop, std::size_t first, std::size_t last, double sample_rate_hz);
  [[nodiscard]] double to_power(double sum) const;
  [[nodiscard]] double to_sum(double power) const;
  [[nodiscard]] Level level_of(const Block& block) const;
  void bring_up_to_date(Block& block) const;
  void list_crossings();
  void list_crossing(const Block& block, std::size_t k);
  [[nodiscard]] double foresee_sum(std::size_t index, const Shape& now);
  const Level& try_block(Block& block, std::size_t index, const Shape& now);

  double step_hz_;
  float floor_power_ = 0.0F;  // acts as a crossing that no cut moves
  int doublings_ = kHardest;
  // Below this share of the highest crossing, a crossing does not count.
  double relevant_ratio_ = 1.0;
  std::vector<Block> blocks_;  // sorted by falling loop_power
  std::vector<Shape> shapes_;  // by slot
  Crossings crossings_;
  State state_;
  State tried_;
  std::size_t tried_index_ = 0;
  Shape tried_shape_;
  int try_number_ = 0;
  int version_ = 0;
  // Blocks that exceeded a limit last time; they are tried first.
  std::array<std::size_t, 3> breakers_{};
  std::size_t next_breaker_ = 0;
};

}  // namespace brink::cuts
