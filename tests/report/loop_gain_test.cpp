#include "report/loop_gain.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "base/error.h"

using namespace brink;

namespace {

std::string complaint(const std::string& text) {
  try {
    (void)report::parse_loop_gain(text, "loop.csv");
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("a loop's response is read from plain text, whatever stands between the numbers") {
  const report::EvenGain even = report::parse_loop_gain(
      "frequency_hz,gain_db,phase_deg\n# the hall, empty\n0,0,0\n0.5,-6.0206,90\n\n1.0 0 180\r\n"
      "1.5\t-20\t-90\n",
      "loop.csv");
  CHECK(even.step_hz == 0.5);
  REQUIRE(even.gain.size() == 3);
  CHECK(std::abs(even.gain[0] - std::complex<double>(0.0, 0.5)) < 1e-5);  // four decimals of dB
  CHECK(std::abs(even.gain[1] - std::complex<double>(-1.0, 0.0)) < 1e-12);
  CHECK(std::abs(even.gain[2] - std::complex<double>(0.0, -0.1)) < 1e-12);
}

TEST_CASE("what is missing below the first frequency is silent") {
  const report::EvenGain even = report::parse_loop_gain("2,0,0\n3,0,0\n4,0,0\n", "loop.csv");
  REQUIRE(even.gain.size() == 4);
  CHECK(even.gain[0] == 0.0);
  CHECK(even.gain[1] == 1.0);
}

TEST_CASE("a bad loop response is refused with its line") {
  CHECK(complaint("") == "loop.csv: holds no loop response: at least three frequencies.");
  CHECK(complaint("1,0,0\n2,0\n3,0,0\n") ==
        "loop.csv, line 2: needs three numbers: frequency in Hz, gain in dB, phase in degrees.");
  CHECK(complaint("1,0,0\n2,0,0\n4,0,0\n") ==
        "loop.csv: the frequencies must rise by even steps; they do not at 4 Hz.");
  CHECK(complaint("1,0,0\n1,0,0\n1,0,0\n").find("even steps") != std::string::npos);
  CHECK(complaint("1,0,0\n2,900,0\n3,0,0\n") == "loop.csv, line 2: the gain is out of range.");
  CHECK(complaint("1.3,0,0\n2.3,0,0\n3.3,0,0\n").find("whole number of steps") !=
        std::string::npos);
}
