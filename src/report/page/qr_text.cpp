#include "report/page/qr_text.h"

#include <cstddef>

namespace brink::report {

std::string qr_text(const io::QrCode& code) {
  constexpr const char* kBlackOnWhite = "\x1b[30;107m";
  constexpr const char* kOwnColours = "\x1b[0m";
  constexpr std::size_t kMargin = io::QrCode::kMargin;
  std::string text;
  // Rows and columns are counted from the margin's corner. Before the square the difference wraps
  // round to a number that is outside as well.
  for (std::size_t row = 0; row < code.width + 2 * kMargin; row += 2) {
    text += kBlackOnWhite;
    for (std::size_t column = 0; column < code.width + 2 * kMargin; ++column) {
      const bool is_upper_dark = code.at(row - kMargin, column - kMargin);
      const bool is_lower_dark = code.at(row + 1 - kMargin, column - kMargin);
      text += is_upper_dark && is_lower_dark ? "\u2588"
              : is_upper_dark                ? "\u2580"
              : is_lower_dark                ? "\u2584"
                                             : " ";
    }
    text += kOwnColours;
    text += '\n';
  }
  return text;
}

}  // namespace brink::report
