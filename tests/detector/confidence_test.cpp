#include "detector/confidence.h"

#include <doctest/doctest.h>

#include <limits>

using brink::detector::confidence_of;
using brink::detector::evidence_of;

TEST_CASE("confidence never falls as evidence grows, and is a share") {
  double last = 0.0;
  for (int step = 0; step <= 400; ++step) {
    const double now = confidence_of(0.01F * static_cast<float>(step));
    CAPTURE(step);
    CHECK(now >= last);
    CHECK(now >= 0.0);
    CHECK(now < 1.0);  // nothing heard is certain
    last = now;
  }
  CHECK(confidence_of(std::numeric_limits<float>::max()) == last);
}

TEST_CASE("little evidence is worth less than an even bet, much evidence nearly all") {
  CHECK(confidence_of(0.0F) < 0.5);
  CHECK(confidence_of(3.0F) > 0.9);
}

TEST_CASE("the evidence for a confidence gives that confidence") {
  for (double confidence = 0.3; confidence <= 0.95; confidence += 0.01) {
    CHECK(confidence_of(evidence_of(confidence)) == doctest::Approx(confidence).epsilon(0.001));
  }
  CHECK(evidence_of(0.0) == 0.0F);
  CHECK(confidence_of(evidence_of(1.0)) == doctest::Approx(0.95));
}
