#include "cuts/filters.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace brink::cuts {
namespace {

/// cos(w0) and alpha = sin(w0) / (2 Q). Every design below is built from these two.
struct Angle {
  double cosine;
  double alpha;
};

Angle angle_of(double frequency_hz, double q, double sample_rate_hz) noexcept {
  // A frequency strictly between 0 and Nyquist and a positive Q keep the poles inside the unit
  // circle.
  const double share = std::clamp(frequency_hz / sample_rate_hz, 1e-6, 0.5 - 1e-6);
  const double turn = 2.0 * std::numbers::pi * share;
  return {std::cos(turn), std::sin(turn) / (2.0 * std::clamp(q, 1e-3, 1e6))};
}

bool all_finite(double a, double b, double c, double d) noexcept {
  return std::isfinite(a) && std::isfinite(b) && std::isfinite(c) && std::isfinite(d);
}

base::Biquad divide_by_a0(
    double b0, double b1, double b2, double a0, double a1, double a2) noexcept {
  return {b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0};
}

}  // namespace

base::Biquad design_peaking(double centre_hz,
                            double q,
                            double depth_db,
                            double sample_rate_hz) noexcept {
  if (!all_finite(centre_hz, q, depth_db, sample_rate_hz)) {
    return {};
  }
  const auto [cosine, alpha] = angle_of(centre_hz, q, sample_rate_hz);
  const double root_gain = std::pow(10.0, depth_db / 40.0);
  return divide_by_a0(1.0 + alpha * root_gain,
                      -2.0 * cosine,
                      1.0 - alpha * root_gain,
                      1.0 + alpha / root_gain,
                      -2.0 * cosine,
                      1.0 - alpha / root_gain);
}

base::Biquad design_high_pass(double corner_hz, double q, double sample_rate_hz) noexcept {
  if (!all_finite(corner_hz, q, 0.0, sample_rate_hz)) {
    return {};
  }
  const auto [cosine, alpha] = angle_of(corner_hz, q, sample_rate_hz);
  const double edge = 1.0 + cosine;
  return divide_by_a0(edge / 2.0, -edge, edge / 2.0, 1.0 + alpha, -2.0 * cosine, 1.0 - alpha);
}

base::Biquad design_notch(double centre_hz, double q, double sample_rate_hz) noexcept {
  if (!all_finite(centre_hz, q, 0.0, sample_rate_hz)) {
    return {};
  }
  const auto [cosine, alpha] = angle_of(centre_hz, q, sample_rate_hz);
  return divide_by_a0(1.0, -2.0 * cosine, 1.0, 1.0 + alpha, -2.0 * cosine, 1.0 - alpha);
}

double bandwidth_to_q(double octaves) noexcept {
  return 0.5 / std::sinh(0.5 * std::numbers::ln2 * octaves);
}

double q_to_bandwidth(double q) noexcept {
  return 2.0 / std::numbers::ln2 * std::asinh(0.5 / q);
}

}  // namespace brink::cuts
