#include "desk/desk_link.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "show/cut_record.h"

namespace brink::desk {
namespace {

bool is_same(const cuts::Setting& a, const cuts::Setting& b) {
  return a.high_pass == b.high_pass && a.cuts == b.cuts;
}

}  // namespace

void DeskLink::follow_fader(show::RingOut& flow, Desk& desk, bool is_other) {
  if (!desk.is_stage()) {
    return;
  }
  if (!flow.fader_db()) {
    desk.set_fader_db(std::min(desk.fader_db(), Desk::kStartFaderDb));
    flow.find_fader_db(desk.fader_db());
  } else if (!is_other && desk.fader_db() != desk_fader_db_) {
    flow.set_fader_db(desk.fader_db());
  } else {
    const double told_db = *flow.fader_db();
    desk.set_fader_db(is_other ? std::min(desk.fader_db(), told_db) : told_db);
    flow.set_fader_db(desk.fader_db());  // the end of the stage's way, or another stage
  }
  desk_fader_db_ = desk.fader_db();
}

/// Before they sound: an output that was left somewhere is not opened above that.
void DeskLink::lower_unknown_faders(const show::RingOut& flow, Desk& desk) {
  const auto& outputs = flow.record().outputs;
  for (std::size_t output = 0; output < outputs.size(); ++output) {
    if (const auto leave_db = show::leave_at_db(outputs[output]);
        leave_db && !flow.fader_db(output)) {
      desk.lower_fader(output, *leave_db);
    }
  }
}

void DeskLink::show_faders(show::RingOut& flow, const Desk& desk) {
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

void DeskLink::follow_target(show::RingOut& flow, Desk& desk) {
  const std::string& kept = flow.output()->target;
  const std::string chosen = desk.board().target().source_text;
  if (chosen != board_target_ && kept == flow_target_) {
    const show::OutputRecord& output = *flow.output();
    flow.change_output({output.name, output.microphone, output.position, chosen});
  } else if (chosen != flow.target().source_text) {
    desk.board().set_target(flow.target());
  }
  flow_target_ = flow.output()->target;
  board_target_ = desk.board().target().source_text;
}

/// One output is open at a time, until all are done: then all of them, for the last check and for
/// what has to be done again after it.
void DeskLink::choose_output(const show::RingOut& flow, int show_count, Desk& desk) {
  const auto& outputs = flow.record().outputs;
  if (show_count != show_count_ || outputs.size() != output_count_) {
    are_all_open_ = false;
    output_count_ = outputs.size();
  }
  are_all_open_ = are_all_open_ || flow.are_all_done();
  desk.choose_output(flow.chosen().value_or(0), are_all_open_ ? outputs.size() : 0);
}

void DeskLink::follow(ShowKeeper& keeper, Desk& desk) {
  show::RingOut& flow = keeper.flow();
  lower_unknown_faders(flow, desk);
  choose_output(flow, keeper.show_count(), desk);
  if (flow.output() == nullptr) {
    desk_fader_db_ = desk.fader_db();
    board_target_ = desk.board().target().source_text;
    return;
  }
  const bool is_other = flow.chosen() != chosen_ || keeper.show_count() != show_count_;
  if (is_other || desk.source_count() != source_count_) {
    board_target_ = desk.board().target().source_text;
    flow_target_ = is_other ? flow.output()->target : flow_target_;
  }
  follow_fader(flow, desk, is_other || desk.source_count() != source_count_);
  follow_target(flow, desk);
  const bool has_changed =
      is_other || flow.revision() != revision_ || desk.source_count() != source_count_;
  if (has_changed) {
    const auto& outputs = flow.record().outputs;
    for (std::size_t output = 0; output < outputs.size(); ++output) {
      if (output != flow.chosen()) {
        desk.set_equaliser(output, show::to_setting(outputs[output].cuts));
      }
    }
  }
  if (has_changed && !is_same(desk.equaliser(), flow.cuts())) {
    desk.set_equaliser(flow.cuts());
    desk.switch_cuts(true);
  }
  show_faders(flow, desk);
  chosen_ = flow.chosen();
  revision_ = flow.revision();
  source_count_ = desk.source_count();
  show_count_ = keeper.show_count();
}

}  // namespace brink::desk
