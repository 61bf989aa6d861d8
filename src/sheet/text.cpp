#include "sheet/text.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <chrono>
#include <cmath>

#include "base/units.h"
#include "base/utf8.h"
#include "show/cut_words.h"

namespace brink::sheet {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";  // U+FFFD
constexpr std::string_view kMinus = "\xE2\x88\x92";        // U+2212
constexpr std::string_view kNoBreak = "\xC2\xA0";          // U+00A0

/// A character that XML 1.0 allows (2.2). It also allows C1 controls, which are useless here.
bool is_legal(const base::Utf8Character& character) {
  const char32_t code = character.code;
  const bool is_control = code < 0xA0 && (code < 0x20 || code >= 0x7F);
  return character.is_valid && code != 0xFFFE && code != 0xFFFF &&
         (!is_control || code == '\t' || code == '\n' || code == '\r');
}

std::optional<std::chrono::year_month_day> date_of(std::string_view time) {
  int year = 0;
  unsigned month = 0;
  unsigned day = 0;
  const auto read = [&](std::size_t at, std::size_t count, auto& value) {
    const char* end = time.data() + at + count;
    const auto result = std::from_chars(time.data() + at, end, value);
    return result.ec == std::errc{} && result.ptr == end;
  };
  if (time.size() < 10 || time[4] != '-' || time[7] != '-' || !read(0, 4, year) ||
      !read(5, 2, month) || !read(8, 2, day)) {
    return std::nullopt;
  }
  const std::chrono::year_month_day date{
      std::chrono::year{year}, std::chrono::month{month}, std::chrono::day{day}};
  return date.ok() ? std::optional(date) : std::nullopt;
}

}  // namespace

std::string markup_safe(std::string_view text) {
  std::string safe;
  safe.reserve(text.size());
  while (!text.empty()) {
    const base::Utf8Character character = base::first_character(text);
    const std::string_view bytes = text.substr(0, character.bytes);
    text.remove_prefix(character.bytes);
    if (!is_legal(character)) {
      safe += kReplacement;
    } else if (bytes == "<") {
      safe += "&lt;";
    } else if (bytes == ">") {
      safe += "&gt;";
    } else if (bytes == "&") {
      safe += "&amp;";
    } else if (bytes == "\"") {
      safe += "&quot;";
    } else if (bytes == "'") {
      safe += "&#39;";
    } else {
      safe += bytes;
    }
  }
  return safe;
}

std::string typed(std::string_view text) {
  return "<bdi>" + markup_safe(text) + "</bdi>";
}

std::string shortened(std::string_view text, std::size_t characters) {
  std::size_t count = 0;
  std::size_t before_last = 0;
  for (std::size_t at = 0; at < text.size(); ++count) {
    if (count + 1 == characters) {
      before_last = at;
    }
    if (count == characters) {
      return std::string(text.substr(0, before_last)) + "\xE2\x80\xA6";
    }
    at += base::first_character(text.substr(at)).bytes;
  }
  return std::string(text);
}

std::string written_number(double value, int decimals) {
  if (!std::isfinite(value)) {
    return "not known";
  }
  std::string digits = fmt::format("{:.{}f}", std::abs(value), decimals);
  const bool is_zero = digits.find_first_not_of("0.") == std::string::npos;
  return value < 0.0 && !is_zero ? std::string(kMinus) + digits : digits;
}

std::string written_db(double value_db, int decimals) {
  const std::string number = written_number(value_db, decimals);
  return std::isfinite(value_db) ? fmt::format("{}{}dB", number, kNoBreak) : number;
}

std::string written_db(const std::optional<double>& value_db) {
  return written_db(value_db.value_or(NAN));
}

std::string written_change_db(double value_db) {
  const std::string text = written_db(value_db);
  return std::isfinite(value_db) && value_db >= 0.05 ? "+" + text : text;
}

std::string written_change_db(const std::optional<double>& value_db) {
  return written_change_db(value_db.value_or(NAN));
}

std::string written_hz(double frequency_hz) {
  const std::string number = written_number(frequency_hz, frequency_hz < 100.0 ? 1 : 0);
  return std::isfinite(frequency_hz) ? fmt::format("{}{}Hz", number, kNoBreak) : number;
}

std::string written_q(double q) {
  return std::isfinite(q) ? fmt::format("{:.3g}", q) : "not known";
}

std::string written_band(double centre_hz) {
  if (!std::isfinite(centre_hz) || centre_hz <= 0.0) {
    return "not known";
  }
  std::string name = show::band_name(centre_hz);
  return name.replace(name.find(' '), 1, kNoBreak);
}

std::string counted(std::size_t count, std::string_view one) {
  return fmt::format("{}{}{}{}", count, kNoBreak, one, count == 1 ? "" : "s");
}

std::string listed(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    text += i == 0 ? "" : (i + 1 == items.size() ? " and " : ", ");
    text += items[i];
  }
  return text;
}

std::string day_of(std::string_view time) {
  constexpr std::array<const char*, 12> kMonths{"January",
                                                "February",
                                                "March",
                                                "April",
                                                "May",
                                                "June",
                                                "July",
                                                "August",
                                                "September",
                                                "October",
                                                "November",
                                                "December"};
  const auto date = date_of(time);
  if (!date) {
    return std::string(time);
  }
  return fmt::format("{} {} {}",
                     static_cast<unsigned>(date->day()),
                     kMonths[static_cast<unsigned>(date->month()) - 1],
                     static_cast<int>(date->year()));
}

std::string clock_of(std::string_view time) {
  const bool is_time =
      date_of(time) && time.size() >= 19 && time[10] == 'T' && time[13] == ':' && time[16] == ':';
  return std::string(is_time ? time.substr(11, 8) : time);
}

std::string time_element(std::string_view time, std::string_view shown) {
  return date_of(time)
             ? fmt::format("<time datetime=\"{}\">{}</time>", markup_safe(time), markup_safe(shown))
             : typed(shown);
}

std::string number_element(double value, std::string_view shown) {
  return std::isfinite(value) ? fmt::format("<data value=\"{}\">{}</data>", value, shown)
                              : std::string(shown);
}

std::string words_part(std::string_view plain) {
  return fmt::format("<p class=\"words\">{}</p>\n", markup_safe(plain));
}

std::string note_part(std::string_view text) {
  return text.empty() ? "" : fmt::format("<p class=\"note\">{}</p>\n", typed(text));
}

std::string or_unnamed(std::string_view name, std::string_view otherwise) {
  return name.empty() ? std::string(otherwise) : typed(name);
}

}  // namespace brink::sheet
