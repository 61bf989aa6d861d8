#include "panel/ring_out/ring_out_forms.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "desk/target_library.h"
#include "show/kept_target.h"

namespace brink::panel {
namespace {

using Texts = std::vector<std::string>;
using Fault = std::optional<std::string>;

/// The targets that an output may get: those that key T offers, and the one in use.
std::vector<cuts::Target> offered_targets(const cuts::Target& in_use,
                                          const desk::SettingsKeeper& settings) {
  std::vector<cuts::Target> offered;
  bool has_one_in_use = false;
  for (const desk::ShelfTarget& one : desk::shelf_targets(desk::targets_folder(settings.path()))) {
    if (one.fault.empty()) {
      const bool is_one_in_use = one.target.name == in_use.name;
      offered.push_back(is_one_in_use ? in_use : one.target);
      has_one_in_use = has_one_in_use || is_one_in_use;
    }
  }
  if (!has_one_in_use) {
    offered.push_back(in_use);
  }
  return offered;
}

std::vector<FormField> output_fields(const show::OutputRecord& output,
                                     const cuts::Target& in_use,
                                     const std::vector<cuts::Target>& offered) {
  std::vector<std::string> names;
  for (const cuts::Target& target : offered) {
    names.push_back(target.name);
  }
  return {{"Output", output.name},
          {"Microphone", output.microphone},
          {"Position", output.position},
          {"Equaliser", in_use.name, names}};
}

show::OutputWords to_words(const Texts& texts, const std::vector<cuts::Target>& offered) {
  const auto named = std::find_if(offered.begin(), offered.end(), [&](const cuts::Target& one) {
    return one.name == texts[3];
  });
  return {texts[0],
          texts[1],
          texts[2],
          named == offered.end() ? desk::load_target(texts[3]).source_text : named->source_text};
}

/// "Wedge 2" after "Wedge 1"; of a show's first output what the last show ended with.
std::string next_name(const show::RingOut& flow, const std::string& remembered) {
  if (flow.output() == nullptr) {
    return remembered.empty() ? "Wedge 1" : remembered;
  }
  const std::string& last = flow.record().outputs.back().name;
  const std::size_t digits = last.find_last_not_of("0123456789") + 1;
  if (digits == last.size() || last.size() - digits > 6) {
    return "";
  }
  const int number = std::atoi(last.c_str() + digits);
  return fmt::format("{}{}", last.substr(0, digits), number + 1);
}

/// The whole of a text as a number.
std::optional<double> to_number(const std::string& text) {
  char* end = nullptr;
  const double value = std::strtod(text.c_str(), &end);
  const bool is_whole = !text.empty() && *end == '\0';
  return is_whole ? std::optional(value) : std::nullopt;
}

}  // namespace

void ask_new_output(TextForm& form,
                    desk::ShowKeeper& keeper,
                    desk::SettingsKeeper& settings,
                    const cuts::Target& in_use) {
  const show::RingOut& flow = keeper.flow();
  const desk::Settings& remembered = settings.now();
  show::OutputRecord put_forward;
  put_forward.microphone = remembered.microphone;
  put_forward.position = remembered.position;
  put_forward.name = next_name(flow, remembered.output);
  const auto offered = offered_targets(in_use, settings);
  auto fields = output_fields(put_forward, in_use, offered);
  for (FormField& field : fields) {
    field.is_put_forward = field.choices.empty();
  }
  form.open("A new output", std::move(fields), [&keeper, offered](const Texts& texts) {
    try {
      keeper.flow().add_output(to_words(texts, offered));
    } catch (const base::Error& error) {
      return Fault(error.what());
    }
    return Fault();
  });
}

void ask_output_change(TextForm& form,
                       desk::ShowKeeper& keeper,
                       const desk::SettingsKeeper& settings) {
  const show::RingOut& flow = keeper.flow();
  const auto offered = offered_targets(flow.target(), settings);
  form.open("What is said of " + base::printable(flow.output()->name),
            output_fields(*flow.output(), flow.target(), offered),
            [&keeper, offered](const Texts& texts) {
              try {
                keeper.flow().change_output(to_words(texts, offered));
              } catch (const base::Error& error) {
                return Fault(error.what());
              }
              return Fault();
            });
}

void ask_show_words(TextForm& form, desk::ShowKeeper& keeper) {
  const show::ShowRecord& record = keeper.flow().record();
  form.open("Where, and which show",
            {{"Venue", record.venue}, {"Show", record.name}},
            [&keeper](const Texts& texts) {
              keeper.flow().name_show(texts[0], texts[1]);
              return Fault();
            });
}

void ask_notes(TextForm& form, desk::ShowKeeper& keeper) {
  const show::RingOut& flow = keeper.flow();
  std::vector<FormField> fields;
  const show::OutputRecord* output = flow.output();
  const std::size_t rounds = output == nullptr ? 0 : output->rounds.size();
  if (rounds > 0) {
    fields.push_back({fmt::format("Round {}", rounds), output->rounds.back().note});
  }
  if (output != nullptr) {
    fields.push_back({output->name, output->note});
  }
  fields.push_back({"The show", flow.record().note});
  form.open("Notes", std::move(fields), [&keeper, rounds](const Texts& texts) {
    std::size_t at = 0;
    if (rounds > 0) {
      keeper.flow().note_round(rounds - 1, texts[at++]);
    }
    if (keeper.flow().output() != nullptr) {
      keeper.flow().note_output(texts[at++]);
    }
    keeper.flow().note_show(texts[at]);
    return Fault();
  });
}

std::optional<std::string> fader_fault(const std::optional<double>& typed_db,
                                       const FaderRange& range,
                                       double now_db) {
  if (!typed_db || !std::isfinite(*typed_db)) {
    return "That is no number of dB, such as -6 or 2.5.";
  }
  if (*typed_db < range.lowest_db || *typed_db > range.highest_db) {
    return fmt::format("A fader stands between {:g} and {:+g} dB; type where in between.",
                       range.lowest_db,
                       range.highest_db);
  }
  if (range.most_up_db && *typed_db > now_db + *range.most_up_db) {
    return fmt::format(
        "That is {:.1f} dB up at once; type {:+.1f} at most, and listen there first.",
        *typed_db - now_db,
        now_db + *range.most_up_db);
  }
  return std::nullopt;
}

void ask_fader(TextForm& form, desk::ShowKeeper& keeper, const FaderRange& range, double now_db) {
  form.open("The fader stands at",
            {{"dB", fmt::format("{:.6g}", now_db), {}, 0.5}},
            [&keeper, range, now_db](const Texts& texts) {
              const auto at_db = to_number(texts[0]);
              auto fault = fader_fault(at_db, range, now_db);
              if (!fault) {
                keeper.flow().set_fader_db(*at_db);
              }
              return fault;
            });
}

namespace {

constexpr double kMostMarginDb = 20.0;

/// A margin as it was typed; nothing when it is none.
std::optional<double> to_margin_db(const std::string& text) {
  const auto by_db = to_number(text);
  return by_db && *by_db >= 0.0 && *by_db <= kMostMarginDb ? by_db : std::nullopt;
}

/// Where a margin takes the fader.
std::string place_words(const show::RingOut& flow, const std::string& typed) {
  const auto margin_db = to_margin_db(typed);
  const auto place_db = margin_db ? flow.place_db(*margin_db) : std::nullopt;
  if (!margin_db) {
    return "";
  }
  if (!place_db) {
    return "Where it rings is not known in dB: take the fader down by hand.";
  }
  const double edge_db = *show::edge_db(*flow.output());
  if (flow.would_go_up(*margin_db)) {
    return fmt::format("{:+.1f} dB would be up: the fader stands at {:+.1f} dB.",
                       *place_db,
                       flow.fader_db().value_or(0.0));
  }
  return fmt::format("The fader goes to {:+.1f} dB: {:.3g} dB under {:+.1f} dB, where it rings.",
                     *place_db,
                     *margin_db,
                     edge_db);
}

void ask_end(TextForm& form, desk::ShowKeeper& keeper) {
  const show::OutputRecord& output = *keeper.flow().output();
  const std::string up_to = output.tried_to_db
                                ? fmt::format("nothing rang up to {:+.1f} dB", *output.tried_to_db)
                                : std::string("nothing rang, and nothing was listened to");
  form.open("Be done with " + base::printable(output.name) + ", without a margin",
            {{"Ends with", up_to, {up_to}}},
            [&keeper](const Texts&) {
              keeper.flow().back_off();
              return Fault();
            });
}

}  // namespace

void ask_back_off(TextForm& form, desk::ShowKeeper& keeper, double& margin_db) {
  if (!show::has_rung(*keeper.flow().output())) {
    ask_end(form, keeper);
    return;
  }
  form.open(
      "Back off, and be done with " + base::printable(keeper.flow().output()->name),
      {{"by dB", fmt::format("{:.6g}", margin_db), {}, 0.5}},
      [&keeper, &margin_db](const Texts& texts) {
        const auto by_db = to_margin_db(texts[0]);
        if (!by_db) {
          return Fault(fmt::format("A margin lies between 0 and {:g} dB.", kMostMarginDb));
        }
        show::RingOut& flow = keeper.flow();
        if (flow.would_go_up(*by_db)) {
          return Fault(fmt::format(
              "That is up, and brink takes nothing up: type at least {:.1f}, or raise it by hand.",
              *flow.place_db(0.0) - *flow.fader_db()));
        }
        margin_db = *by_db;
        flow.back_off(margin_db);
        return Fault();
      },
      [&keeper](const Texts& texts) { return place_words(keeper.flow(), texts[0]); });
}

void ask_places(TextForm& form, desk::ShowKeeper& keeper) {
  const show::RingOut& flow = keeper.flow();
  const auto& outputs = flow.record().outputs;
  std::vector<FormField> fields;
  std::vector<std::size_t> asked;
  for (std::size_t output = 0; output < outputs.size(); ++output) {
    if (flow.misplaced(output).empty()) {
      continue;
    }
    const auto leave_db = show::leave_at_db(outputs[output]);
    fields.push_back({base::printable(outputs[output].name),
                      "not yet",
                      {"not yet",
                       leave_db ? fmt::format("open, at {:+.1f} dB", *leave_db)
                                : std::string("open, where it stays")}});
    asked.push_back(output);
  }
  if (fields.empty()) {
    return;  // only time is missing
  }
  form.open("Each output as it is left", std::move(fields), [&keeper, asked](const Texts& texts) {
    for (std::size_t i = 0; i < asked.size(); ++i) {
      if (texts[i] != "not yet" && !keeper.flow().say_in_place(asked[i])) {
        return Fault(keeper.flow().misplaced(asked[i]) + " Say first where it stands (F).");
      }
    }
    return Fault();
  });
}

}  // namespace brink::panel
