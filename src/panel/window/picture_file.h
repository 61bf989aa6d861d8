#pragma once

#include <span>
#include <string>

namespace brink::panel {

/// Writes a PNG. `pixels`: red, green, blue and alpha of each pixel, the lowest line first, as
/// OpenGL gives them. Throws base::Error when it cannot be written.
void write_picture(const std::string& path,
                   int width,
                   int height,
                   std::span<const unsigned char> pixels);

}  // namespace brink::panel
