#include "cli/stage/option_numbers.h"

#include <charconv>
#include <cmath>

#include "cuts/filters.h"

namespace brink::cli {
namespace {

// Numbers between separators, all of the text or nothing. from_chars: the user's locale has no say.
std::vector<double> numbers(const std::string& text, char separator) {
  std::vector<double> found;
  const char* at = text.data();
  const char* const end = text.data() + text.size();
  while (at <= end) {
    at += at < end && *at == '+' ? 1 : 0;
    double number = 0.0;
    const auto [after, error] = std::from_chars(at, end, number);
    if (error != std::errc{} || !std::isfinite(number) || (after != end && *after != separator)) {
      return {};
    }
    found.push_back(number);
    at = after + 1;
  }
  return found;
}

}  // namespace

std::vector<double> numbers(const std::string& text,
                            char separator,
                            std::size_t count,
                            const char* option,
                            const char* form) {
  std::vector<double> found = numbers(text, separator);
  if (found.size() != count) {
    throw base::Error{fmt::format("{} takes {}, not '{}'.", option, form, base::printable(text))};
  }
  return found;
}

base::Biquad section_of(std::span<const double> cut,
                        const char* option,
                        const std::string& text,
                        double sample_rate_hz) {
  const bool is_legal = cut[0] > 0.0 && cut[0] < 0.5 * sample_rate_hz && cut[1] >= 0.1 &&
                        cut[1] <= 200.0 && cut[2] <= 0.0 && cut[2] >= -60.0;
  if (!is_legal) {
    throw base::Error{
        fmt::format("{} {} does not fit: a frequency below half the sample rate, Q 0.1 to "
                    "200, depth -60 to 0 dB.",
                    option,
                    base::printable(text))};
  }
  return cuts::design_peaking(cut[0], cut[1], cut[2], sample_rate_hz);
}

}  // namespace brink::cli
