#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brink::sheet {

/// Text as it stands between tags or in quotes, in HTML and XML alike: markup becomes entities;
/// bytes that are no UTF-8 and characters that XML forbids become U+FFFD.
[[nodiscard]] std::string markup_safe(std::string_view text);

/// What somebody typed, kept apart from its surroundings also where it turns the writing direction.
[[nodiscard]] std::string typed(std::string_view text);

/// A text of at most `characters`, its end replaced by an ellipsis; not yet escaped.
[[nodiscard]] std::string shortened(std::string_view text, std::size_t characters);

/// With a minus sign, "not known" when not finite. No unit.
[[nodiscard]] std::string written_number(double value, int decimals);
[[nodiscard]] std::string written_db(double value_db, int decimals = 1);
[[nodiscard]] std::string written_db(const std::optional<double>& value_db);
/// With its sign: "+2.5 dB".
[[nodiscard]] std::string written_change_db(double value_db);
[[nodiscard]] std::string written_change_db(const std::optional<double>& value_db);
/// Tenths under 100 Hz, else whole: "44.2 Hz", "1854 Hz".
[[nodiscard]] std::string written_hz(double frequency_hz);
/// Three significant figures: "8.64", "16".
[[nodiscard]] std::string written_q(double q);
/// Nominal frequency of the third-octave, as a graphic is labelled: "31.5 Hz", "2.5 kHz".
[[nodiscard]] std::string written_band(double centre_hz);
/// "1 ring", "3 rings".
[[nodiscard]] std::string counted(std::size_t count, std::string_view one);
/// "a", "a and b", "a, b and c".
[[nodiscard]] std::string listed(const std::vector<std::string>& items);

/// From ISO 8601 with an offset: "14 March 2026", "17:04:12". Other text comes back as it is.
[[nodiscard]] std::string day_of(std::string_view time);
[[nodiscard]] std::string clock_of(std::string_view time);
/// A time of day as an element that keeps the whole time for machines.
[[nodiscard]] std::string time_element(std::string_view time, std::string_view shown);

/// A paragraph of plain words; a note that somebody typed, empty when there is none; a name that
/// somebody typed, or else `otherwise`.
[[nodiscard]] std::string words_part(std::string_view plain);
[[nodiscard]] std::string note_part(std::string_view text);
[[nodiscard]] std::string or_unnamed(std::string_view name, std::string_view otherwise);

/// A number as an element that keeps it whole for machines.
[[nodiscard]] std::string number_element(double value, std::string_view shown);

}  // namespace brink::sheet
