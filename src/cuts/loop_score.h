#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "cuts/score.h"

namespace brink::cuts {

/// Score of a measured loop: the equaliser turns the phase too, so crossings are looked for anew on
/// the product of loop and equaliser. Made for cuts, which nowhere amplify and turn the phase by
/// less than a third: parts of the loop that are more than 18 dB under its highest crossing, or
/// whose phase is more than 120 degrees from a whole turn, are left out. Single precision.
class LoopScore final : public Score {
 public:
  LoopScore(const LoopGain& loop, std::size_t slot_count, double sample_rate_hz);

  void set_sharpness(int doublings) override;
  double try_change(std::size_t index, const Shape& now, double limit_power) override;
  void make_change() override;

  double soft_power() const override { return to_power(state_.sum); }

  Crossing highest() const override;

 private:
  static constexpr std::size_t kPoints = 32;
  using Values = std::array<float, kPoints>;

  /// What a block's crossings amount to.
  struct Level {
    float highest = 0.0F;     // power
    double sum = 0.0;         // of power^p
    std::uint32_t cells = 0;  // a bit for each cell in which the imaginary part changes its sign
  };

  /// Points of the loop, near to each other in frequency, side by side where no gap is marked.
  struct Block {
    float loop_power = 0.0F;  // the highest squared magnitude in it without equaliser
    std::size_t count = 0;
    int version = 0;  // of the equaliser that is in re and im
    int tried = 0;    // the try that filled tried_re, tried_im and tried_level
    Level tried_level;
    std::uint32_t cells = 0;  // with a crossing or half a turn from one, in re and im
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

  /// The crossings as they stand, to foresee what a change does to them.
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
    std::size_t block_count = 0;  // blocks that counted
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
  float floor_power_ = 0.0F;  // as if a crossing stood there that no cut moves
  int doublings_ = kHardest;
  double relevant_ratio_ = 1.0;  // what is under this share of the highest crossing counts not
  std::vector<Block> blocks_;    // falling in loop_power
  std::vector<Shape> shapes_;    // by slot
  Crossings crossings_;
  State state_;
  State tried_;
  std::size_t tried_index_ = 0;
  Shape tried_shape_;
  int try_number_ = 0;
  int version_ = 0;
  std::array<std::size_t, 3> breakers_{};  // blocks that last exceeded a limit: tried first
  std::size_t next_breaker_ = 0;
};

}  // namespace brink::cuts
