#include "panel/window/picture_file.h"

#include <fmt/format.h>
#include <stb_image_write.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "io/whole_file.h"

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
  io::WholeFile file(path);
  std::string bytes;
  const auto append = [](void* into, void* data, int size) {
    static_cast<std::string*>(into)->append(static_cast<const char*>(data),
                                            static_cast<std::size_t>(size));
  };
  if (stbi_write_png_to_func(
          append, &bytes, width, height, 4, upright.data(), static_cast<int>(line)) == 0) {
    throw base::Error{fmt::format("the picture {} cannot be made.", base::printable(path))};
  }
  file.append(bytes);
  file.commit();
}

}  // namespace brink::panel
