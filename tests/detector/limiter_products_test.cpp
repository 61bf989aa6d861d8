#include "detector/limiter_products.h"

#include <doctest/doctest.h>

using brink::detector::is_harmonic;
using brink::detector::is_intermodulation;

// A symmetric limiter, y = x - x^3 / 3 ..., makes odd orders: cubing a cos + b cos gives 3 a, 2 a
// +- b and 2 b +- a (product-to-sum identities), the fifth power 3 a - 2 b among others.
TEST_CASE("harmonics and intermodulation of rings are known, their neighbours are not") {
  CHECK(is_harmonic(3000.0, 1000.0));
  CHECK(is_harmonic(1999.0, 1000.0));
  CHECK_FALSE(is_harmonic(1000.0, 1000.0));
  CHECK_FALSE(is_harmonic(2990.0, 1000.0));
  CHECK_FALSE(is_harmonic(500.0, 1000.0));
  CHECK(is_intermodulation(5729.0, 3242.0, 755.0));
  CHECK(is_intermodulation(490.0, 755.0, 1020.0));
  CHECK(is_intermodulation(1732.0, 3242.0, 4752.0));
  CHECK(is_intermodulation(222.0, 754.0, 1020.0));
  CHECK_FALSE(is_intermodulation(1020.0, 755.0, 1020.0));
  CHECK_FALSE(is_intermodulation(600.0, 755.0, 1020.0));
}
