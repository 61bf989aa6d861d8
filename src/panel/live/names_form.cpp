#include "panel/live/names_form.h"

#include <fmt/format.h>

#include <optional>
#include <utility>
#include <vector>

#include "base/error.h"

namespace brink::panel {
namespace {

constexpr const char* kAbout =
    "As in a file of names: \"vocal left\", or \"output wedge 1\" for the "
    "tap of an output.";

/// Why a channel cannot be called so; nothing: it can.
std::optional<std::string> fault_of(int channel, const std::string& description) {
  try {
    show::ChannelNames().describe(channel, description);
  } catch (const base::Error& error) {
    return fmt::format("{}.", error.what());
  }
  return std::nullopt;
}

}  // namespace

void name_channels(const show::ChannelNames& names,
                   desk::SettingsKeeper& settings,
                   desk::Desk& desk,
                   show::RingOut& flow) {
  settings.now().channel_names = names.text();
  desk.set_output_channels(names.outputs());
  flow.name_channels(names);
}

void NamesForm::offer(Context& context) {
  if (context.desk.session().taps().size() > 1 &&
      context.actions.offer("N",
                            context.view.tap_index ? "name the channel" : "name the channels")) {
    open(context.view.tap_index.value_or(0), context);
  }
}

void NamesForm::open(std::size_t index, Context& context) {
  const std::vector<int>& taps = context.desk.session().taps();
  const int channel = taps[index];
  const bool asks_all = !context.view.tap_index;
  next_ = asks_all && index + 1 < taps.size() ? index + 1 : 0;
  channel_ = channel;
  taken_.reset();
  form_.open(
      fmt::format("Channel {}", channel),
      {{"Name", context.show.flow().rings().names().description(channel), {}, 0.0, true}},
      [this](const std::vector<std::string>& texts) {
        auto fault = fault_of(channel_, texts.front());
        if (!fault) {
          taken_ = texts.front();
        }
        return fault;
      },
      [](const std::vector<std::string>&) { return std::string(kAbout); });
}

void NamesForm::draw(const Rect& area, Context& context) {
  if (!form_.is_open()) {
    return;
  }
  form_.draw(area, context);
  if (!taken_) {
    return;
  }
  show::ChannelNames names = context.show.flow().rings().names();
  names.describe(channel_, *std::exchange(taken_, std::nullopt));
  name_channels(names, context.settings, context.desk, context.show.flow());
  if (next_ > 0) {
    open(next_, context);
  }
}

}  // namespace brink::panel
