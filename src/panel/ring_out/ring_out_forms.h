#pragma once

#include <optional>
#include <string>

#include "desk/settings_keeper.h"
#include "desk/show_keeper.h"
#include "desk/stage_source.h"
#include "panel/draw/text_form.h"

namespace brink::panel {

// The forms of ringing out. Each one hands what was typed to the show. The keeper must outlive the
// form.

/// Asks for name, microphone, position and target. For a new output the last words and the target
/// in use are put forward.
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

/// The simulated stage's fader goes to what is typed. A slip (a sign, a digit too many) must not
/// take it far up, so one step up is at most the way from its start to its brink.
inline constexpr FaderRange kStageFader{
    desk::StageControls::kLowestFaderDb, desk::StageControls::kHighestFaderDb, 12.0};

/// What is wrong with a typed position, in one sentence. `typed_db` is empty when the text is no
/// number.
[[nodiscard]] std::optional<std::string> fader_fault(const std::optional<double>& typed_db,
                                                     const FaderRange& range,
                                                     double now_db);
void ask_fader(TextForm& form, desk::ShowKeeper& keeper, const FaderRange& range, double now_db);
/// Asks for the margin and shows to which place the fader will go. It never goes up. An output in
/// which nothing rang is ended without a margin.
void ask_back_off(TextForm& form, desk::ShowKeeper& keeper, double& margin_db);

/// For when brink cannot see the faders. Lists each output that is not in place, so that the user
/// can say that it is.
void ask_places(TextForm& form, desk::ShowKeeper& keeper);

}  // namespace brink::panel
