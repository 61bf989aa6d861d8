#pragma once

namespace brink::detector {

/// Share of rings that are real, among those that reached this much evidence (nat-seconds, >= 0, as
/// Rings sums it). Measured on labelled recordings: docs/validation.md.
[[nodiscard]] double confidence_of(float evidence) noexcept;

/// The least evidence that gives this confidence; beyond the highest, that of the highest.
[[nodiscard]] float evidence_of(double confidence) noexcept;

}  // namespace brink::detector
