#include "ear/ruler.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <string>

#include "base/units.h"

namespace brink::ear {
namespace {

/// Takes a number off the beginning of `text`.
std::optional<double> take_number(std::string_view& text) {
  double number = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || !std::isfinite(number)) {
    return std::nullopt;
  }
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return number;
}

std::string squeeze(std::string_view text) {
  std::string squeezed;
  for (const char letter : text) {
    if (std::isspace(static_cast<unsigned char>(letter)) == 0) {
      squeezed += static_cast<char>(std::tolower(static_cast<unsigned char>(letter)));
    }
  }
  return squeezed;
}

std::optional<double> parse_hz(std::string_view text) {
  const auto number = take_number(text);
  if (!number) {
    return std::nullopt;
  }
  if (text == "k" || text == "khz") {
    return *number * 1000.0;
  }
  return text.empty() || text == "hz" ? number : std::nullopt;
}

/// Takes a sharp or a flat off the beginning; gives semitones.
int take_accidental(std::string_view& text) {
  if (text.empty() || (text.front() != '#' && text.front() != 'b')) {
    return 0;
  }
  const int step = text.front() == '#' ? 1 : -1;
  text.remove_prefix(1);
  return step;
}

std::optional<double> parse_note(std::string_view text) {
  constexpr std::array<int, 7> kSemitones{9, 11, 0, 2, 4, 5, 7};  // above C, for the notes A to G
  if (text.empty() || text.front() < 'a' || text.front() > 'g') {
    return std::nullopt;
  }
  int semitone = kSemitones[static_cast<std::size_t>(text.front() - 'a')];
  text.remove_prefix(1);
  semitone += take_accidental(text);
  if (text.empty() || std::isdigit(static_cast<unsigned char>(text.front())) == 0) {
    return std::nullopt;
  }
  semitone += 12 * (text.front() - '0' + 1);
  text.remove_prefix(1);
  double cents = 0.0;
  if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
    const double sign = text.front() == '+' ? 1.0 : -1.0;
    text.remove_prefix(1);
    const auto size = take_number(text);
    if (!size || *size < 0.0) {
      return std::nullopt;
    }
    cents = sign * *size;
    if (text == "c") {
      text.remove_prefix(1);
    }
  }
  return text.empty() ? std::optional(base::semitone_to_hz(semitone + cents / 100.0))
                      : std::nullopt;
}

}  // namespace

double hearing_step_hz(double frequency_hz) noexcept {
  constexpr double kLowStepHz = 3.4;
  constexpr double kHighShare = 0.006;
  return std::max(kLowStepHz, kHighShare * frequency_hz);
}

double hearing_step_cents(double frequency_hz) noexcept {
  return base::cents_between(frequency_hz + hearing_step_hz(frequency_hz), frequency_hz);
}

void Ruler::place(double frequency_hz) noexcept {
  if (std::isfinite(frequency_hz) && frequency_hz > 0.0) {
    frequency_hz_ = std::clamp(frequency_hz, kLowHz, kHighHz);
  }
}

void Ruler::step_bands(int bands) noexcept {
  place(base::third_octave_centre_hz(base::third_octave_index(frequency_hz_) + bands));
}

void Ruler::step_fine(int steps) noexcept {
  place(frequency_hz_ * std::exp2(steps * kFineCents / 1200.0));
}

double Ruler::position_of(double frequency_hz) noexcept {
  return std::log(frequency_hz / kLowHz) / std::log(kHighHz / kLowHz);
}

double Ruler::frequency_at(double position) noexcept {
  return kLowHz * std::pow(kHighHz / kLowHz, std::clamp(position, 0.0, 1.0));
}

std::optional<double> parse_guess(std::string_view text) {
  const std::string squeezed = squeeze(text);
  auto guess = parse_hz(squeezed);
  if (!guess) {
    guess = parse_note(squeezed);
  }
  if (guess && *guess >= Ruler::kLowHz && *guess <= Ruler::kHighHz) {
    return guess;
  }
  return std::nullopt;
}

}  // namespace brink::ear
