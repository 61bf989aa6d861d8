#pragma once

#include <imgui.h>

#include "panel/draw/theme.h"
#include "panel/window/strip_texture.h"

namespace brink::tests {

/// ImGui without a window, for tests of what the panel draws. Only one at a time.
class Paper {
 public:
  explicit Paper(float width, float height, float scale = 1.0F) {
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = ImVec2(width, height);
    io.DeltaTime = 1.0F / 30.0F;
    io.BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    theme_ = panel::load_theme(scale);
    unsigned char* pixels = nullptr;
    int atlas_width = 0;
    int atlas_height = 0;
    io.Fonts->GetTexDataAsRGBA32(&pixels, &atlas_width, &atlas_height);
  }

  ~Paper() { ImGui::DestroyContext(); }

  Paper(const Paper&) = delete;
  Paper& operator=(const Paper&) = delete;
  Paper(Paper&&) = delete;
  Paper& operator=(Paper&&) = delete;

  [[nodiscard]] const panel::Theme& theme() const noexcept { return theme_; }

  /// Runs one pass. Returns how many corners were drawn.
  template <typename Draw>
  int pass(const Draw& draw) {
    ImGui::NewFrame();
    draw();
    ImGui::Render();
    return ImGui::GetDrawData()->TotalVtxCount;
  }

 private:
  panel::Theme theme_;
};

/// A strip without a picture; it counts the rows written.
class BlindStrip final : public panel::StripTexture {
 public:
  explicit BlindStrip(int& rows) : rows_(rows) {}

  void write_row(int, std::span<const ImU32>) override { ++rows_; }

  [[nodiscard]] ImTextureID id() const noexcept override { return nullptr; }

 private:
  int& rows_;
};

}  // namespace brink::tests
