#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace brink::base {

/// A moment, with the offset of the clock that it was read from.
struct TimeOfDay {
  std::int64_t unix_ms = 0;  ///< milliseconds since 1970-01-01T00:00Z
  int offset_min = 0;        ///< of the clock from UTC; positive east of UTC

  friend bool operator==(const TimeOfDay&, const TimeOfDay&) = default;
};

/// Reads ISO 8601 in the book's form: "2026-05-01T19:02:11.400+02:00". Seconds and their fraction
/// may be missing; "Z" means +00:00. Years 1 to 9999. Any other text gives nothing.
[[nodiscard]] std::optional<TimeOfDay> parse_time(std::string_view text) noexcept;

/// The text that parse_time() reads, to the millisecond.
[[nodiscard]] std::string time_text(const TimeOfDay& time);

/// "2026-05-01 19:02", for a list. Text that is not a time of day stays as it is.
[[nodiscard]] std::string short_time(const std::string& text);

/// Local time with its offset from UTC, in the same form, to the millisecond.
[[nodiscard]] std::string wall_text(std::chrono::system_clock::time_point wall);

}  // namespace brink::base
