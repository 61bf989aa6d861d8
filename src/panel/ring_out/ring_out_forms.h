#pragma once

#include <optional>
#include <string>

#include "desk/settings_keeper.h"
#include "desk/show_keeper.h"
#include "desk/stage_source.h"
#include "panel/draw/text_form.h"

namespace brink::panel {

// What is typed while a show is rung out; each takes what was typed to the show. The keeper must
// outlive the form.

/// Name, microphone, position and target; of a new output what was said last is put forward, and
/// the target in use.
void ask_new_output(TextForm& form,
                    desk::ShowKeeper& keeper,
                    desk::SettingsKeeper& settings,
                    const cuts::Target& in_use);
void ask_output_change(TextForm& form,
                       desk::ShowKeeper& keeper,
                       const desk::SettingsKeeper& settings);
void ask_show_words(TextForm& form, desk::ShowKeeper& keeper);
void ask_notes(TextForm& form, desk::ShowKeeper& keeper);

struct FaderRange {
  double lowest_db = show::RingOut::kLowestFaderDb;
  double highest_db = show::RingOut::kHighestFaderDb;
  /// Nothing where brink is only told where a fader stands; that may be anywhere.
  std::optional<double> most_up_db = std::nullopt;
};

/// The simulated stage's fader goes where it is typed to, so a slip (a sign, a digit too many) must
/// not throw it up: its range, and no farther up at once than from where it starts to its brink.
inline constexpr FaderRange kStageFader{
    desk::StageControls::kLowestFaderDb, desk::StageControls::kHighestFaderDb, 12.0};

/// What is wrong with a typed position, in one sentence; nothing typed: it is no number.
[[nodiscard]] std::optional<std::string> fader_fault(const std::optional<double>& typed_db,
                                                     const FaderRange& range,
                                                     double now_db);
void ask_fader(TextForm& form, desk::ShowKeeper& keeper, const FaderRange& range, double now_db);
/// With a margin that can be changed, and the place to which the fader will go; it never goes up.
/// An output in which nothing rang is ended without one.
void ask_back_off(TextForm& form, desk::ShowKeeper& keeper, double& margin_db);

/// Where brink cannot see the faders: each output that is not in place, for the user to say that it
/// is.
void ask_places(TextForm& form, desk::ShowKeeper& keeper);

}  // namespace brink::panel
