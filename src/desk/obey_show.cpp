#include "desk/obey_show.h"

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "show/cut_record.h"

namespace brink::desk {
namespace {

/// Before they sound: an output that was left somewhere is not opened above that.
void lower_unknown_faders(const show::RingOut& flow, Desk& desk) {
  const auto& outputs = flow.record().outputs;
  for (std::size_t output = 0; output < outputs.size(); ++output) {
    if (const auto leave_db = show::leave_at_db(outputs[output]);
        leave_db && !flow.fader_db(output)) {
      desk.lower_fader(output, *leave_db);
    }
  }
}

void follow_fader(show::RingOut& flow, Desk& desk) {
  if (!desk.is_stage()) {
    return;
  }
  if (!flow.fader_db()) {
    desk.obey_fader_db(std::min(desk.fader_db(), Desk::kStartFaderDb));
    flow.find_fader_db(desk.fader_db());
    return;
  }
  const double told_db = *flow.fader_db();
  desk.obey_fader_db(desk.obeys_fader() ? told_db : std::min(desk.fader_db(), told_db));
  flow.set_fader_db(desk.fader_db());  // the end of the stage's way, or another stage
}

void follow_cuts(const show::RingOut& flow, Desk& desk) {
  const auto& outputs = flow.record().outputs;
  for (std::size_t output = 0; output < outputs.size(); ++output) {
    if (output != flow.chosen()) {
      desk.set_equaliser(output, show::to_setting(outputs[output].cuts));
    }
  }
  if (desk.equaliser() != flow.cuts()) {
    desk.set_equaliser(flow.cuts());
  }
  if (!desk.has_cuts_in()) {
    desk.switch_cuts(true);
  }
}

void tell_faders(show::RingOut& flow, const Desk& desk) {
  if (!desk.is_stage()) {
    flow.see_faders(std::nullopt);
    return;
  }
  std::vector<std::optional<double>> faders_db;
  for (std::size_t output = 0; output < flow.record().outputs.size(); ++output) {
    faders_db.push_back(desk.sounding_fader_db(output));
  }
  flow.see_faders(std::move(faders_db));
}

}  // namespace

void obey_show(show::RingOut& flow, Desk& desk) {
  lower_unknown_faders(flow, desk);
  desk.choose_output(flow.chosen().value_or(0),
                     flow.opens_all() ? flow.record().outputs.size() : 0);
  if (flow.output() == nullptr) {
    return;
  }
  follow_fader(flow, desk);
  if (desk.target().source_text != flow.target().source_text) {
    desk.set_target(flow.target());
  }
  follow_cuts(flow, desk);
  tell_faders(flow, desk);
}

void move_fader(show::RingOut& flow, Desk& desk, double fader_db) {
  if (flow.output() == nullptr) {
    desk.set_fader_db(fader_db);
  } else {
    flow.set_fader_db(fader_db);
  }
}

void choose_target(show::RingOut& flow, Desk& desk, const cuts::Target& target) {
  if (const show::OutputRecord* output = flow.output()) {
    flow.change_output({output->name, output->microphone, output->position, target.source_text});
  } else {
    desk.set_target(target);
  }
}

}  // namespace brink::desk
