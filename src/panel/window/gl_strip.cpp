#include "panel/window/gl_strip.h"

#include <GLFW/glfw3.h>  // includes the system's own OpenGL header
// That header may lack what came after OpenGL 1.1.
#include <GL/glext.h>

#include <cstdint>
#include <vector>

#include "panel/draw/theme.h"

namespace brink::panel {

GlStrip::GlStrip() {
  const std::vector<ImU32> dark(static_cast<std::size_t>(kColumns) * kRows, colour::kPlot);
  glGenTextures(1, &name_);
  glBindTexture(GL_TEXTURE_2D, name_);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_REPEAT);
  glTexImage2D(
      GL_TEXTURE_2D, 0, GL_RGBA8, kColumns, kRows, 0, GL_RGBA, GL_UNSIGNED_BYTE, dark.data());
}

GlStrip::~GlStrip() {
  glDeleteTextures(1, &name_);
}

void GlStrip::write_row(int row, std::span<const ImU32> pixels) {
  glBindTexture(GL_TEXTURE_2D, name_);
  glTexSubImage2D(GL_TEXTURE_2D, 0, 0, row, kColumns, 1, GL_RGBA, GL_UNSIGNED_BYTE, pixels.data());
}

ImTextureID GlStrip::id() const noexcept {
  // ImGui's GL backend takes the texture's name in place of a pointer.
  return reinterpret_cast<ImTextureID>(static_cast<std::uintptr_t>(name_));
}

}  // namespace brink::panel
