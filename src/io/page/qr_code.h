#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace brink::io {

/// A square of dark and light modules that a camera reads (ISO/IEC 18004), without the light margin
/// of kMargin modules that it needs on every side.
struct QrCode {
  static constexpr std::size_t kMargin = 4;

  std::size_t width = 0;      ///< modules across
  std::vector<bool> is_dark;  ///< row by row

  /// Outside the square everything is light.
  [[nodiscard]] bool at(std::size_t row, std::size_t column) const noexcept {
    return row < width && column < width && is_dark[row * width + column];
  }
};

/// The smallest code for the text, correcting up to 15 % (level M). Throws base::Error when the
/// text is longer than a code holds. [any]
[[nodiscard]] QrCode make_qr_code(const std::string& text);

}  // namespace brink::io
