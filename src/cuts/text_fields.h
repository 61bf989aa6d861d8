#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brink::cuts {

/// Without the blanks at both ends.
[[nodiscard]] std::string_view trim(std::string_view text) noexcept;

/// One line `field = value`, with the error messages for it. Every reader throws base::Error that
/// names the text, the line and the field.
struct Entry {
  int line = 0;
  std::string field;
  std::string value;
  std::string text_name;

  struct Range {
    double low;
    double high;
  };

  [[noreturn]] void refuse(const std::string& what) const;

  /// A finite number.
  [[nodiscard]] double number(std::string_view word) const;
  [[nodiscard]] double number_within(double low, double high) const;
  [[nodiscard]] int whole_within(int low, int high) const;

  /// Reads "LOW:HIGH", both between the two limits.
  [[nodiscard]] Range range_within(double low, double high) const;

  /// Reads rising numbers with blanks between them, all between the two limits.
  [[nodiscard]] std::vector<double> list_within(double low, double high) const;

  static constexpr std::size_t kLongestList = 64;
};

/// The lines of a text, taken one by one. An entry that is left at the end is unknown.
class Taker {
 public:
  /// Messages call the text `name`.
  Taker(std::string_view text, std::string name);

  [[nodiscard]] std::optional<Entry> take(std::string_view field);
  /// Throws base::Error when it is missing.
  [[nodiscard]] Entry need(std::string_view field);
  /// The first field left that begins so; nothing is taken.
  [[nodiscard]] const Entry* find_beginning(std::string_view beginning) const;
  /// Throws base::Error when an entry is left.
  void refuse_rest(std::string_view kind) const;

 private:
  std::map<std::string, Entry, std::less<>> entries_;
  std::string name_;
};

}  // namespace brink::cuts
