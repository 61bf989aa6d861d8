#include <nlohmann/json.hpp>

#include "cuts/band.h"
#include "detector/ring.h"
#include "panel/draw/level_meter.h"
#include "panel/live/listen_rows.h"
#include "panel/live/shown_tap.h"
#include "panel/overlays.h"
#include "panel/panel.h"
#include "panel/plots/forecast_marks.h"
#include "panel/plots/tap_row.h"

namespace brink::panel {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const cuts::Cut& cut) {
  return {{"centre_hz", cut.centre_hz}, {"q", cut.q}, {"depth_db", cut.depth_db}};
}

template <typename Cuts>
Json to_list(const Cuts& cuts) {
  Json list = Json::array();
  for (const cuts::Cut& cut : cuts) {
    list.push_back(to_json(cut));
  }
  return list;
}

/// What is proposed for it.
Json cut_list(const ListenRow& row) {
  const bool has_cut = row.proposal && row.proposal->kind != show::Proposal::Kind::kCannot;
  return has_cut ? to_list(cuts::to_setting(std::span(&row.proposal->cut(), 1)).cuts)
                 : Json::array();
}

Json to_json(const ListenRow& row) {
  return {{"id", row.ring.id},
          {"tap", row.tap},
          {"state", detector::to_word(row.ring.state)},
          {"frequency_hz", row.ring.frequency_hz},
          {"growth_db_per_s", row.ring.growth_db_per_s},
          {"level_dbfs", row.ring.level_dbfs},
          {"cuts", cut_list(row)}};
}

/// How large what one acts on was drawn; without what was not drawn.
Json to_json(const SeenSizes& seen) {
  Json sizes = Json::object();
  for (std::size_t i = 0; i < SeenSizes::kCount; ++i) {
    const auto what = static_cast<Acted>(i);
    if (const auto height_px = static_cast<double>(seen.cap_px(what)); height_px > 0.0) {
      sizes[to_word(what)] = {{"cap_px", height_px}, {"arc_min", arc_of_px(height_px)}};
    }
  }
  return sizes;
}

void add_facts(const Facts& facts, Json& state) {
  for (const auto& [name, value] : facts.all()) {
    std::visit([&](const auto& known) { state[name] = known; }, value);
  }
}

const char* health_word(io::InputHealth health) {
  switch (health) {
    case io::InputHealth::kRunning:
      return "running";
    case io::InputHealth::kFrozen:
      return "frozen";
    default:
      return "gone";
  }
}

}  // namespace

std::string Panel::state_json() {
  const auto announced = announcement();
  Json state{
      {"schema", "brink/panel/1"},
      {"pane", pane().title()},
      {"overlay", static_cast<int>(view_.overlay)},
      {"passes", passes_},
      {"shown_events", shown_events_},
      {"slowest_event_ms", slowest_event_ms_},
      {"width", width_},
      {"height", height_},
      {"scale", scale_},
      {"hides_answers", view_.hides_answers},
      {"source", desk_.session().source_name()},
      {"is_stage", desk_.is_stage()},
      {"taps", desk_.session().taps()},
      {"shown_tap", shown_tap(desk_.snapshot(), view_).tap},
      {"tap_faults", desk_.snapshot().taps.size() > 1 ? faults_of_taps(desk_.snapshot()) : ""},
      {"announcement", announced ? announced->words + ", " + announced->rest : ""},
      {"is_from_afar", view_.is_from_afar},
      {"seen", to_json(seen_)},
      {"forecast", forecast_words(shown_tap(desk_.snapshot(), view_).forecast)},
      {"stream_s", desk_.stream_s()},
      {"health", health_word(desk_.snapshot().health)},
      {"level", level_words(shown_tap(desk_.snapshot(), view_), desk_.snapshot().health)},
      {"exposure", exposure_words(shown_tap(desk_.snapshot(), view_))},
      {"lost_samples", desk_.snapshot().lost_samples},
      {"open_outputs", desk_.open_outputs()},
      {"fader_db", desk_.fader_db()},
      {"has_cuts_in", desk_.has_cuts_in()},
      {"equaliser", to_list(desk_.equaliser().cuts)},
      {"target", desk_.target().name},
      {"trouble", desk_.trouble().value_or("")},
      {"book_waiting", book_.waiting()},
      {"book_trouble", book_.trouble().value_or("")}};
  Json rings = Json::array();
  for (const ListenRow& row : list_rows(desk_, show_.flow())) {
    rings.push_back(to_json(row));
  }
  state["rings"] = rings;
  for (const std::unique_ptr<Pane>& one : panes_) {
    if (one) {
      Facts facts;
      one->describe(facts);
      add_facts(facts, state[one->title()]);
    }
  }
  Facts inputs;
  input_picker_.describe(inputs);
  add_facts(inputs, state["input_picker"]);
  Facts targets;
  target_picker_.describe(targets);
  add_facts(targets, state["target_picker"]);
  Facts page;
  page_.describe(page);
  add_facts(page, state["page"]);
  Facts guess;
  live_guess_.describe(guess);
  add_facts(guess, state["live_guess"]);
  return state.dump() + "\n";
}

}  // namespace brink::panel
