#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/setting.h"
#include "cuts/target.h"
#include "show/show_record.h"

namespace brink::show {

[[nodiscard]] inline bool is_high_pass(const show::CutRecord& cut) noexcept {
  return cut.q == 0.0;
}

[[nodiscard]] show::CutRecord to_record(const cuts::Cut& cut) noexcept;
[[nodiscard]] show::CutRecord to_record(const cuts::HighPass& high_pass) noexcept;

/// Kept cuts as an equaliser's setting; of several high-passes the highest.
[[nodiscard]] cuts::Setting to_setting(std::span<const show::CutRecord> cuts);
[[nodiscard]] std::vector<show::CutRecord> to_records(const cuts::Setting& setting);

/// What stands now of a cut that was logged: itself, or the nearest cut within a third-octave, as a
/// later round may have deepened or moved it. Nothing when none is left there.
[[nodiscard]] std::optional<show::CutRecord> standing_cut(const show::CutRecord& logged,
                                                          std::span<const show::CutRecord> cuts);

/// What a graphic's fader of that centre is labelled: the nominal name of a third-octave, "1.6
/// kHz", where it is one.
[[nodiscard]] std::string band_name(double centre_hz);

/// To the last digit that counts: "2631 Hz Q 8 -6 dB", "high-pass 80 Hz"; of a graphic, whose
/// faders have names and no Q, "1.6 kHz -6 dB".
[[nodiscard]] std::string cut_text(const show::CutRecord& cut,
                                   cuts::Target::Kind kind = cuts::Target::Kind::kParametric);

/// The same to read from afar: "2.63 kHz  Q 8  -6.0 dB", "high-pass 80.0 Hz", "1.6 kHz  -6.0 dB".
[[nodiscard]] std::string cut_words(const show::CutRecord& cut, cuts::Target::Kind kind);

}  // namespace brink::show
