#include "panel/window/picture_file.h"

#include <fmt/format.h>
#include <stb_image_write.h>

#include <algorithm>
#include <cstddef>
#include <vector>

#include "base/error.h"

namespace brink::panel {

void write_picture(const std::string& path,
                   int width,
                   int height,
                   std::span<const unsigned char> pixels) {
  const auto line = static_cast<std::size_t>(width) * 4;
  std::vector<unsigned char> upright(pixels.size());
  for (std::size_t y = 0; y < static_cast<std::size_t>(height); ++y) {
    const auto from = pixels.subspan((static_cast<std::size_t>(height) - 1 - y) * line, line);
    std::copy(from.begin(), from.end(), upright.begin() + static_cast<std::ptrdiff_t>(y * line));
  }
  for (std::size_t alpha = 3; alpha < upright.size(); alpha += 4) {
    upright[alpha] = 255;
  }
  if (stbi_write_png(path.c_str(), width, height, 4, upright.data(), static_cast<int>(line)) == 0) {
    throw base::Error{fmt::format("the picture {} cannot be written.", path)};
  }
}

}  // namespace brink::panel
