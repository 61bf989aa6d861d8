#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "cuts/setting.h"
#include "cuts/target.h"
#include "show/show_record.h"

namespace brink::sheet {

/// Sample rate at which a sheet draws responses. Cuts up to a few kHz look the same at any.
inline constexpr double kSheetRateHz = 48000.0;

enum class RingState : std::uint8_t {
  kFaded,
  kCameBack,  ///< was not seen to fade, but only a higher fader brought something back
  kNotSeenToFade,
  kNotCut
};

/// In the order in which a sheet tells them.
inline constexpr std::array kRingStates{
    RingState::kFaded, RingState::kCameBack, RingState::kNotSeenToFade, RingState::kNotCut};

/// A cut in the target's own steps.
struct SheetCut {
  cuts::Band cut;
  bool is_high_pass = false;
  std::string place;  ///< as the equaliser labels it: "1854 Hz", on a graphic "2.5 kHz"
  std::string band;   ///< of a graphic: "band 22 of 31"
  int depth_decimals = 1;
  std::optional<int> depth_steps;  ///< whole steps down from 0; nothing when it is between steps
  std::string off_step;            ///< what the target cannot be set to; empty: all is on its steps
  std::vector<std::size_t> rounds;  ///< those whose ring lies within its points of half depth
};

struct SheetRound {
  RingState state = RingState::kNotCut;
  std::optional<double> won_db;         ///< app::won_db() of the round
  std::optional<double> won_so_far_db;  ///< their sum up to this one
  double level_now_db = 0.0;            ///< of the equaliser at the ring, all cuts together
};

/// What pictures, tables and words of one output are all made from, so that they agree.
struct SheetOutput {
  const show::OutputRecord* record = nullptr;  ///< outlives this
  std::optional<cuts::Target> target;          ///< nothing when its text cannot be read
  std::vector<SheetCut> cuts;                  ///< high-pass first, then rising in frequency
  std::vector<SheetRound> rounds;              ///< as in the record
  cuts::Setting setting;
  double lost_db = 0.0;  ///< mean level lost over the third-octaves 125 Hz to 8 kHz
  double deepest_db = 0.0;
  double deepest_hz = 0.0;
  std::optional<std::size_t> loudest_round;  ///< by sound pressure; nothing: not calibrated
  std::optional<double> edge_db;             ///< app::edge_db()
  std::optional<double> won_db;              ///< show::gain_won_db()
  std::optional<double> leave_at_db;         ///< show::leave_at_db()

  [[nodiscard]] double level_db(double frequency_hz) const;
  /// A cut's centre as the equaliser labels it: on a graphic the band's nominal frequency.
  [[nodiscard]] std::string written_centre(double centre_hz) const;
};

[[nodiscard]] SheetOutput sheet_output(const show::OutputRecord& record);

/// "faded after its cut", "came back later", "not seen to fade", "not cut".
[[nodiscard]] const char* written_state(RingState state) noexcept;

}  // namespace brink::sheet
