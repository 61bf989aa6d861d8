#include "cuts/filters.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <limits>
#include <numbers>

using namespace brink;
using namespace brink::cuts;

namespace {

constexpr double kRateHz = 48000.0;

double level_db(const base::Biquad& section, double f_hz) {
  return 20.0 * std::log10(std::abs(base::response(section, f_hz, kRateHz)));
}

bool is_stable(const base::Biquad& s) {
  return std::abs(s.a2) < 1.0 && std::abs(s.a1) < 1.0 + s.a2;  // the stability triangle
}

}  // namespace

TEST_CASE("Q against bandwidth") {
  // Source: Q = sqrt(2^N) / (2^N - 1), table printed at sengpielaudio.com (three decimals).
  struct Row {
    double octaves;
    double q;
  };

  for (const Row& row : {Row{2.0, 0.667},
                         {1.5, 0.920},
                         {1.0, 1.414},
                         {2.0 / 3.0, 2.145},
                         {0.5, 2.871},
                         {1.0 / 3.0, 4.318},
                         {1.0 / 6.0, 8.651}}) {
    CAPTURE(row.octaves);
    CHECK(std::abs(bandwidth_to_q(row.octaves) - row.q) <
          0.0005 + 1e-9);  // half the last digit printed
    CHECK(q_to_bandwidth(bandwidth_to_q(row.octaves)) ==
          doctest::Approx(row.octaves).epsilon(1e-12));
  }
  // The same formula in its other form, sqrt(2^N) / (2^N - 1), for the widths the notch literature
  // uses (van Waterschoot & Moonen, Proc. IEEE 99(2), 2011, sec. V-C: 1/10, 1/20, 1/60 octave).
  for (const double octaves : {0.1, 0.05, 1.0 / 60.0}) {
    const double ratio = std::exp2(octaves);
    CHECK(bandwidth_to_q(octaves) ==
          doctest::Approx(std::sqrt(ratio) / (ratio - 1.0)).epsilon(1e-9));
  }
}

TEST_CASE("a peaking cut has half its depth at the edges of its bandwidth") {
  // Source: Audio EQ Cookbook (W3C Group Note, 8 June 2021): for peaking filters the bandwidth lies
  // between the points of half the gain in dB. The bilinear transform narrows the filter by
  // sin(w0)/w0, 3e-5 at 100 Hz of 48 kHz; the slope there turns that into 0.0001 dB.
  const auto low = design_peaking(100.0, bandwidth_to_q(1.0 / 3.0), -6.0, kRateHz);
  CHECK(level_db(low, 100.0) == doctest::Approx(-6.0).epsilon(1e-9));
  CHECK(std::abs(level_db(low, 100.0 * std::exp2(1.0 / 6.0)) + 3.0) < 0.0002);
  CHECK(std::abs(level_db(low, 100.0 * std::exp2(-1.0 / 6.0)) + 3.0) < 0.0002);
  // At 1 kHz the narrowing is 0.29 %, a hundredth of a dB at the edge.
  const auto cut = design_peaking(1000.0, bandwidth_to_q(1.0 / 3.0), -6.0, kRateHz);
  CHECK(std::abs(level_db(cut, 1000.0 * std::exp2(1.0 / 6.0)) + 3.0) < 0.01);
  // The cookbook takes it back by w0/sin(w0) in the bandwidth. What is left is the bend of the
  // scale from centre to edge, a tenth of that.
  const double w0 = 2.0 * std::numbers::pi * 1000.0 / kRateHz;
  const auto exact =
      design_peaking(1000.0, bandwidth_to_q(1.0 / 3.0 * w0 / std::sin(w0)), -6.0, kRateHz);
  CHECK(std::abs(level_db(exact, 1000.0 * std::exp2(1.0 / 6.0)) + 3.0) < 0.002);
}

TEST_CASE("a mistuned cut loses what the table says") {
  // Our own table, computed apart from this code with the cookbook's formulas: a -6 dB peaking cut
  // at 1 kHz of 48 kHz, read 10 and 20 Hz above; two decimals, so half a hundredth of tolerance.
  struct Row {
    double q;
    double at_10_db;
    double at_20_db;
  };

  for (const Row& row : {Row{4.318, -5.95, -5.82},
                         {8.651, -5.81, -5.33},
                         {14.42, -5.51, -4.47},
                         {30.0, -4.37, -2.50}}) {
    CAPTURE(row.q);
    const auto cut = design_peaking(1000.0, row.q, -6.0, kRateHz);
    CHECK(std::abs(level_db(cut, 1010.0) - row.at_10_db) < 0.0051);
    CHECK(std::abs(level_db(cut, 1020.0) - row.at_20_db) < 0.0051);
  }
}

TEST_CASE("a cut and a boost of equal Q cancel") {
  // Source: Audio EQ Cookbook, note on the peaking filter.
  const auto cut = design_peaking(2631.0, 8.0, -6.0, kRateHz);
  const auto boost = design_peaking(2631.0, 8.0, 6.0, kRateHz);
  for (const double f_hz : {50.0, 2000.0, 2631.0, 2700.0, 15000.0}) {
    CHECK(std::abs(base::response(cut, f_hz, kRateHz) * base::response(boost, f_hz, kRateHz) -
                   1.0) < 1e-12);
  }
}

TEST_CASE("the high-pass is -3.01 dB at its corner and falls 12 dB per octave") {
  // Source: second-order Butterworth, |H|^2 = 1 / (1 + (fc/f)^4) (textbook); the bilinear transform
  // bends it by less than 0.001 dB this far under half the sample rate.
  const auto pass = design_high_pass(100.0, std::numbers::sqrt2 / 2.0, kRateHz);
  for (const double f_hz : {12.5, 25.0, 50.0, 100.0, 200.0, 400.0}) {
    CAPTURE(f_hz);
    const double expected_db = -10.0 * std::log10(1.0 + std::pow(100.0 / f_hz, 4.0));
    CHECK(std::abs(level_db(pass, f_hz) - expected_db) < 0.001);
  }
}

TEST_CASE("the notch is zero at its centre and -3.01 dB at its edges") {
  // Q = centre / width; edges at f0 (sqrt(1 + 1/(4 Q^2)) -+ 1/(2 Q)), from the analogue form.
  const double q = 10.0;
  const auto notch = design_notch(500.0, q, kRateHz);
  CHECK(std::abs(base::response(notch, 500.0, kRateHz)) < 1e-12);
  const double middle = std::sqrt(1.0 + 0.25 / (q * q));
  for (const double edge_hz : {500.0 * (middle - 0.5 / q), 500.0 * (middle + 0.5 / q)}) {
    // The transform bends the frequency scale by 4e-4 at 500 Hz of 48 kHz, mostly shared by centre
    // and edge: 0.01 dB.
    CHECK(std::abs(level_db(notch, edge_hz) + 3.0103) < 0.01);
  }
}

TEST_CASE("every design is stable, whatever it is asked for") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double f_hz : {-5.0, 0.0, 1.0, 1000.0, 23999.0, 24000.0, 1e9, nan}) {
    for (const double q : {-1.0, 0.0, 0.1, 8.0, 1e9, nan}) {
      for (const double depth_db : {-60.0, -6.0, 0.0, nan}) {
        CHECK(is_stable(design_peaking(f_hz, q, depth_db, kRateHz)));
      }
      CHECK(is_stable(design_high_pass(f_hz, q, kRateHz)));
      CHECK(is_stable(design_notch(f_hz, q, kRateHz)));
    }
  }
}
