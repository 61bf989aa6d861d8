#pragma once

#include "panel/window/strip_texture.h"

namespace brink::panel {

/// A strip in an OpenGL context. That context must be current on the thread that makes, uses and
/// destroys it.
class GlStrip final : public StripTexture {
 public:
  GlStrip();
  ~GlStrip() override;
  GlStrip(const GlStrip&) = delete;
  GlStrip& operator=(const GlStrip&) = delete;
  GlStrip(GlStrip&&) = delete;
  GlStrip& operator=(GlStrip&&) = delete;

  void write_row(int row, std::span<const ImU32> pixels) override;
  [[nodiscard]] ImTextureID id() const noexcept override;

 private:
  unsigned int name_ = 0;
};

}  // namespace brink::panel
