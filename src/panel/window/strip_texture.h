#pragma once

#include <imgui.h>

#include <cstdint>
#include <span>

namespace brink::panel {

/// A picture of a fixed size that is written row by row and wraps around: one row a pass is all
/// that a moving strip costs.
class StripTexture {
 public:
  static constexpr int kColumns = 1024;
  static constexpr int kRows = 512;

  virtual ~StripTexture() = default;
  StripTexture(const StripTexture&) = delete;
  StripTexture& operator=(const StripTexture&) = delete;
  StripTexture(StripTexture&&) = delete;
  StripTexture& operator=(StripTexture&&) = delete;

  /// `pixels`: kColumns of them, as IM_COL32 packs them; `row` 0 to kRows - 1.
  virtual void write_row(int row, std::span<const ImU32> pixels) = 0;

  [[nodiscard]] virtual ImTextureID id() const noexcept = 0;

 protected:
  StripTexture() = default;
};

}  // namespace brink::panel
