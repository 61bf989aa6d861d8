#pragma once

#include "cuts/band.h"

namespace brink::io {

/// A band as the book and its exports have it: three numbers, of which the Q of a high-pass is 0.
[[nodiscard]] inline cuts::Band kept_band(double centre_hz, double q, double depth_db) noexcept {
  return q == 0.0 ? cuts::to_band(cuts::HighPass{centre_hz}) : cuts::Band{centre_hz, q, depth_db};
}

}  // namespace brink::io
