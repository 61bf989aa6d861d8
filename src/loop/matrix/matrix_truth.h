#pragma once

#include <optional>
#include <vector>

#include "loop/matrix/matrix_loop.h"
#include "loop/truth.h"

namespace brink::loop {

/// One place of the loops that came within kNearBrinkDb of the brink, and whose it is.
struct MatrixNearBrink {
  NearBrink near;
  Shares shares;  ///< at the pole of its highest gain; empty without a pole
};

/// What the loops did while their plan ran.
struct MatrixTruth {
  std::vector<MatrixNearBrink> near_brink;  ///< rising in frequency
  std::optional<double> stable_gain_db;     ///< the plan's gain at the brink; nothing: no loop

  /// As one loop's truth.
  [[nodiscard]] LoopTruth loop() const;
};

/// The truth over `length_s` of the plan, from the matrix of transfer functions alone; no sound is
/// analysed.
[[nodiscard]] MatrixTruth matrix_truth(const MatrixConfig& config, double length_s);

}  // namespace brink::loop
