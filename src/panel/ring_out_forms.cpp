#include "panel/ring_out_forms.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "app/target_choice.h"
#include "core/error.h"
#include "io/printable.h"

namespace brink::panel {
namespace {

using Texts = std::vector<std::string>;
using Fault = std::optional<std::string>;

std::vector<std::string> target_names(const std::string& present) {
  std::vector<std::string> names;
  for (const cuts::Target& target : cuts::built_in_targets()) {
    names.push_back(target.name);
  }
  if (std::find(names.begin(), names.end(), present) == names.end()) {
    names.push_back(present);  // one that was read from a file
  }
  return names;
}

std::vector<FormField> output_fields(const io::OutputRecord& output, const std::string& target) {
  return {{"Output", output.name},
          {"Microphone", output.microphone},
          {"Position", output.position},
          {"Equaliser", target, target_names(target)}};
}

/// The text that goes with a name: what was there, or that of a target at hand.
std::string text_of_target(const std::string& name, const app::RingOut& flow) {
  const bool is_same = flow.output() != nullptr && flow.target().name == name;
  return is_same ? flow.output()->target : app::target_text(name);
}

app::OutputWords to_words(const Texts& texts, const app::RingOut& flow) {
  return {texts[0], texts[1], texts[2], text_of_target(texts[3], flow)};
}

/// "Wedge 2" after "Wedge 1"; of a show's first output what the last show ended with.
std::string next_name(const app::RingOut& flow, const std::string& remembered) {
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

void ask_new_output(TextForm& form, app::ShowKeeper& keeper, const app::Settings& remembered) {
  const app::RingOut& flow = keeper.flow();
  io::OutputRecord put_forward;
  put_forward.microphone = remembered.microphone;
  put_forward.position = remembered.position;
  put_forward.name = next_name(flow, remembered.output);
  const std::string target = flow.output() == nullptr ? remembered.target : flow.target().name;
  auto fields = output_fields(put_forward, target);
  for (FormField& field : fields) {
    field.is_put_forward = field.choices.empty();
  }
  form.open("A new output", std::move(fields), [&keeper](const Texts& texts) {
    try {
      keeper.flow().add_output(to_words(texts, keeper.flow()));
    } catch (const core::Error& error) {
      return Fault(error.what());
    }
    return Fault();
  });
}

void ask_output_change(TextForm& form, app::ShowKeeper& keeper) {
  const app::RingOut& flow = keeper.flow();
  form.open("What is said of " + io::printable(flow.output()->name),
            output_fields(*flow.output(), flow.target().name),
            [&keeper](const Texts& texts) {
              try {
                keeper.flow().change_output(to_words(texts, keeper.flow()));
              } catch (const core::Error& error) {
                return Fault(error.what());
              }
              return Fault();
            });
}

void ask_show_words(TextForm& form, app::ShowKeeper& keeper) {
  const io::ShowRecord& record = keeper.flow().record();
  form.open("Where, and which show",
            {{"Venue", record.venue}, {"Show", record.name}},
            [&keeper](const Texts& texts) {
              keeper.flow().name_show(texts[0], texts[1]);
              return Fault();
            });
}

void ask_notes(TextForm& form, app::ShowKeeper& keeper) {
  const app::RingOut& flow = keeper.flow();
  std::vector<FormField> fields;
  const io::OutputRecord* output = flow.output();
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

void ask_fader(TextForm& form, app::ShowKeeper& keeper, const FaderRange& range, double now_db) {
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

void ask_back_off(TextForm& form, app::ShowKeeper& keeper, double& margin_db) {
  form.open("Back off, and be done with " + io::printable(keeper.flow().output()->name),
            {{"by dB", fmt::format("{:.6g}", margin_db), {}, 0.5}},
            [&keeper, &margin_db](const Texts& texts) {
              const auto by_db = to_number(texts[0]);
              if (!by_db || *by_db < 0.0 || *by_db > 20.0) {
                return Fault("A margin lies between 0 and 20 dB.");
              }
              margin_db = *by_db;
              keeper.flow().back_off(margin_db);
              return Fault();
            });
}

}  // namespace brink::panel
