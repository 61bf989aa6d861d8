#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "report/reach_report.h"

namespace brink::desk {

enum class ReachField : std::uint8_t {
  kTalkerToMicrophone,
  kTalkerToListener,
  kMicrophoneToLoudspeaker,
  kLoudspeakerToListener,
  kGoodHearing,
  kOpenMicrophones,
  kMargin,
  kUnit,
  kRoom,
  kCriticalDistance,
  kVolume,
  kT60,
  kDirectivity,
};

/// How the room is given; outdoors there is none.
enum class ReachRoom : std::uint8_t { kOutdoors, kCriticalDistance, kVolumeAndT60 };

/// The question of loop::reach() as a form that is filled in value by value, with its answer. The
/// same values give the same answer as `brink reach`. No state beyond its own. [any]
class ReachForm {
 public:
  ReachForm();

  /// Those that count now, in order.
  [[nodiscard]] std::vector<ReachField> fields() const;
  /// In lower case, as loop::reach() names it in its errors.
  [[nodiscard]] static const char* name(ReachField field) noexcept;
  /// One of a few words, not a number: step() alone changes it.
  [[nodiscard]] static bool is_choice(ReachField field) noexcept;
  /// "0.3 m", "2", "outdoors".
  [[nodiscard]] std::string value_text(ReachField field) const;
  /// The bare number, for editing.
  [[nodiscard]] std::string number_text(ReachField field) const;

  /// Up or down by a sensible step for its size, or to the next choice; stays at the ends. Another
  /// unit converts all distances.
  void step(ReachField field, int steps);
  /// Throws base::Error that names the field when the text is no number or the number is beyond the
  /// field's range; then nothing has changed.
  void set(ReachField field, std::string_view text);

  [[nodiscard]] const report::ReachQuestion& question() const noexcept { return question_; }

  /// Nothing while the four distances do not meet: fault() then says which is too long.
  [[nodiscard]] const std::optional<loop::Reach>& answer() const noexcept { return answer_; }

  [[nodiscard]] const std::string& fault() const noexcept { return fault_; }

 private:
  [[nodiscard]] double& value(ReachField field) noexcept;
  [[nodiscard]] double value(ReachField field) const noexcept;
  void require_in_range(ReachField field, double number) const;
  void switch_unit();
  void update();

  report::ReachQuestion question_;
  ReachRoom room_ = ReachRoom::kOutdoors;
  double open_microphones_ = 1.0;  // as a number like all others
  double critical_distance_ = 5.0;
  double volume_ = 800.0;
  double t60_s_ = 1.2;
  double directivity_ = 2.0;
  std::optional<loop::Reach> answer_;
  std::string fault_;
};

/// loop::critical_distance_from_t60_m() with volume and answer in `unit`, "m" or "ft". Throws
/// base::Error.
[[nodiscard]] double critical_distance_from_t60(double volume,
                                                double t60_s,
                                                double directivity,
                                                const std::string& unit);

}  // namespace brink::desk
