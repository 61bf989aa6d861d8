#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "panel/draw/text_form.h"
#include "panel/pane.h"
#include "show/channel_names.h"

namespace brink::panel {

/// What the channels are called from now on: in the settings, on the desk and in the show.
void name_channels(const show::ChannelNames& names,
                   desk::SettingsKeeper& settings,
                   desk::Desk& desk,
                   show::RingOut& flow);

/// Asks for the names of channels: of the one that is shown, or of all that are listened to, one
/// after another.
class NamesForm {
 public:
  /// Offers its key while several channels are listened to.
  void offer(Context& context);
  void draw(const Rect& area, Context& context);

  [[nodiscard]] bool is_open() const noexcept { return form_.is_open(); }

  /// "Channel 3"; empty while it is closed.
  [[nodiscard]] std::string heading() const { return is_open() ? form_.heading() : ""; }

 private:
  void open(std::size_t index, Context& context);

  TextForm form_;
  int channel_ = 1;                   // that is asked for
  std::optional<std::string> taken_;  // in this pass
  std::size_t next_ = 0;              // index of the channel to ask for after it; 0: none
};

}  // namespace brink::panel
