#pragma once

#include <span>
#include <string>
#include <vector>

#include "cuts/setting.h"
#include "io/show_record.h"

namespace brink::app {

[[nodiscard]] inline bool is_high_pass(const io::CutRecord& cut) noexcept {
  return cut.q == 0.0;
}

[[nodiscard]] io::CutRecord to_record(const cuts::Cut& cut) noexcept;
[[nodiscard]] io::CutRecord to_record(const cuts::HighPass& high_pass) noexcept;

/// Kept cuts as an equaliser's setting; of several high-passes the highest.
[[nodiscard]] cuts::Setting to_setting(std::span<const io::CutRecord> cuts);
[[nodiscard]] std::vector<io::CutRecord> to_records(const cuts::Setting& setting);

/// "2631 Hz Q 8 -6 dB", "high-pass 80 Hz".
[[nodiscard]] std::string cut_text(const io::CutRecord& cut);

}  // namespace brink::app
