#include "base/time_of_day.h"

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>

#include "base/local_time.h"

namespace brink::base {
namespace {

/// Takes `count` digits off the beginning of the text. Nothing when they are not there.
std::optional<int> take_digits(std::string_view& text, std::size_t count) noexcept {
  if (text.size() < count) {
    return std::nullopt;
  }
  int number = 0;
  for (const char c : text.substr(0, count)) {
    if (c < '0' || c > '9') {
      return std::nullopt;
    }
    number = 10 * number + (c - '0');
  }
  text.remove_prefix(count);
  return number;
}

bool take(std::string_view& text, char c) noexcept {
  if (text.empty() || text.front() != c) {
    return false;
  }
  text.remove_prefix(1);
  return true;
}

/// Takes a fraction of a second: ".4" gives 400. Digits beyond the millisecond are dropped.
std::optional<int> take_fraction_ms(std::string_view& text) noexcept {
  int fraction_ms = 0;
  int weight_ms = 100;
  std::size_t digits = 0;
  while (const auto digit = take_digits(text, 1)) {
    fraction_ms += *digit * weight_ms;
    weight_ms /= 10;
    ++digits;
  }
  return digits > 0 ? std::optional(fraction_ms) : std::nullopt;
}

std::optional<std::chrono::sys_days> take_date(std::string_view& text) noexcept {
  const auto year = take_digits(text, 4);
  if (!year || *year == 0 || !take(text, '-')) {
    return std::nullopt;
  }
  const auto month = take_digits(text, 2);
  if (!month || !take(text, '-')) {
    return std::nullopt;
  }
  const auto day = take_digits(text, 2);
  if (!day) {
    return std::nullopt;
  }
  const std::chrono::year_month_day date{std::chrono::year(*year),
                                         std::chrono::month(static_cast<unsigned>(*month)),
                                         std::chrono::day(static_cast<unsigned>(*day))};
  return date.ok() ? std::optional(std::chrono::sys_days(date)) : std::nullopt;
}

/// Takes "19:02" and gives minutes.
std::optional<int> take_minutes(std::string_view& text) noexcept {
  const auto hour = take_digits(text, 2);
  if (!hour || *hour > 23 || !take(text, ':')) {
    return std::nullopt;
  }
  const auto minute = take_digits(text, 2);
  return minute && *minute < 60 ? std::optional(60 * *hour + *minute) : std::nullopt;
}

/// Takes the seconds and gives ms; 0 when there are none.
std::optional<int> take_seconds_ms(std::string_view& text) noexcept {
  if (!take(text, ':')) {
    return 0;
  }
  const auto second = take_digits(text, 2);
  if (!second || *second > 60) {  // 60: a leap second
    return std::nullopt;
  }
  if (!take(text, '.')) {
    return 1000 * *second;
  }
  const auto fraction_ms = take_fraction_ms(text);
  return fraction_ms ? std::optional(1000 * *second + *fraction_ms) : std::nullopt;
}

std::optional<int> take_offset_min(std::string_view& text) noexcept {
  if (take(text, 'Z')) {
    return 0;
  }
  const bool is_west = take(text, '-');
  if (!is_west && !take(text, '+')) {
    return std::nullopt;
  }
  const auto minutes = take_minutes(text);
  return minutes ? std::optional(is_west ? -*minutes : *minutes) : std::nullopt;
}

}  // namespace

std::optional<TimeOfDay> parse_time(std::string_view text) noexcept {
  const auto date = take_date(text);
  if (!date || !take(text, 'T')) {
    return std::nullopt;
  }
  const auto minutes = take_minutes(text);
  if (!minutes) {
    return std::nullopt;
  }
  const auto seconds_ms = take_seconds_ms(text);
  if (!seconds_ms) {
    return std::nullopt;
  }
  const auto offset_min = take_offset_min(text);
  if (!offset_min || !text.empty()) {
    return std::nullopt;
  }
  const std::int64_t days = date->time_since_epoch().count();
  return TimeOfDay{(days * 1440 + *minutes - *offset_min) * 60000 + *seconds_ms, *offset_min};
}

std::string time_text(const TimeOfDay& time) {
  using std::chrono::milliseconds;
  const milliseconds local{time.unix_ms + std::int64_t{time.offset_min} * 60000};
  const auto days = std::chrono::floor<std::chrono::days>(local);
  const std::chrono::year_month_day date{std::chrono::sys_days(days)};
  const auto of_day_ms = (local - days).count();
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}{}{:02}:{:02}",
                     static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()),
                     static_cast<unsigned>(date.day()),
                     of_day_ms / 3600000,
                     of_day_ms / 60000 % 60,
                     of_day_ms / 1000 % 60,
                     of_day_ms % 1000,
                     time.offset_min < 0 ? '-' : '+',
                     std::abs(time.offset_min) / 60,
                     std::abs(time.offset_min) % 60);
}

std::string short_time(const std::string& text) {
  constexpr std::size_t kToTheMinute = 16;
  if (!parse_time(text)) {
    return text;
  }
  std::string minute = text.substr(0, kToTheMinute);
  minute[10] = ' ';
  return minute;
}

std::string wall_text(std::chrono::system_clock::time_point wall) {
  const auto unix_ms = std::chrono::floor<std::chrono::milliseconds>(wall).time_since_epoch();
  return time_text({unix_ms.count(), local_offset_min(std::chrono::system_clock::to_time_t(wall))});
}

}  // namespace brink::base
