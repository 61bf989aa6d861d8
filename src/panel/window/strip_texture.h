#pragma once

#include <imgui.h>

#include <cstdint>
#include <span>

namespace brink::panel {

/// A picture of a fixed size, written row by row; after the last row comes the first again. So a
/// moving strip costs only one row in a pass.
class StripTexture {
 public:
  static constexpr int kColumns = 1024;
  static constexpr int kRows = 512;

  virtual ~StripTexture() = default;
  StripTexture(const StripTexture&) = delete;
  StripTexture& operator=(const StripTexture&) = delete;
  StripTexture(StripTexture&&) = delete;
  StripTexture& operator=(StripTexture&&) = delete;

  /// `pixels`: kColumns of them, in the format of IM_COL32. `row`: 0 to kRows - 1.
  virtual void write_row(int row, std::span<const ImU32> pixels) = 0;

  [[nodiscard]] virtual ImTextureID id() const noexcept = 0;

 protected:
  StripTexture() = default;
};

}  // namespace brink::panel
