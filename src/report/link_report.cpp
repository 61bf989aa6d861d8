#include "report/link_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "base/printable.h"
#include "base/time_of_day.h"
#include "cuts/link/link_check.h"
#include "report/row_json.h"

namespace brink::report {
namespace {

using Kind = cuts::LinkPart::Kind;

const char* unit_of(Kind kind) {
  return kind == Kind::kFrequency ? " Hz" : kind == Kind::kQ ? "" : " dB";
}

std::string span_words(const cuts::LinkTrial& trial) {
  return fmt::format("{:.5g} to {:.5g}{}", trial.low, trial.high, unit_of(trial.part.kind));
}

/// How far rounding moves a value, in the words of its kind.
std::string worst_words(const cuts::LinkTrial& trial) {
  switch (trial.part.kind) {
    case Kind::kFader:
      return "read only";
    case Kind::kDepth:
      return fmt::format("within {:.2f} dB", trial.worst);
    default:
      return fmt::format("within {:.2f} octaves", trial.worst);
  }
}

const char* answers_words(cuts::Link::Answers answers) {
  switch (answers) {
    case cuts::Link::Answers::kAsked:
      return "it is asked for its numbers";
    case cuts::Link::Answers::kTold:
      return "it tells what changes";
    default:
      return "it never answers, so nothing can be confirmed";
  }
}

const char* answers_word(cuts::Link::Answers answers) {
  switch (answers) {
    case cuts::Link::Answers::kAsked:
      return "asked";
    case cuts::Link::Answers::kTold:
      return "told";
    default:
      return "never";
  }
}

/// What all bands share is said once.
std::string findings_text(const std::vector<cuts::LinkTrial>& trials, const cuts::Link& link) {
  std::string text;
  std::vector<std::string> said;
  for (const cuts::LinkTrial& trial : trials) {
    for (const std::string& finding : trial.findings) {
      const int line = cuts::control(link, trial.part).line;
      const std::string kind = fmt::format("{} {}", line, finding);
      if (std::find(said.begin(), said.end(), kind) == said.end()) {
        said.push_back(kind);
        text += fmt::format("line {}, {}: {}.\n", line, cuts::to_words(trial.part), finding);
      }
    }
  }
  return text;
}

/// Nothing where it is none of the link, or a number that its scale does not have.
std::optional<double> value_of(const cuts::Link& link, const io::ConsoleWord& word) {
  return word.part && word.number ? cuts::control(link, *word.part).scale.value_of(*word.number)
                                  : std::nullopt;
}

}  // namespace

std::string wire_words(const cuts::Link& link) {
  return fmt::format(
      "{} {}", link.wire == cuts::Link::Wire::kOsc ? "OSC" : "MIDI", base::printable(link.console));
}

std::string link_text(const cuts::Target& target) {
  const std::string name = base::printable(target.name);
  const auto linked = cuts::linked_target(target);
  if (!linked) {
    return fmt::format(
        "{}: {} band{}, no link to a console.\n", name, target.bands, target.bands == 1 ? "" : "s");
  }
  const cuts::Link& link = linked->link;
  std::string text = fmt::format("{}: {} band{}, console at {}; {}.\n\n",
                                 name,
                                 target.bands,
                                 target.bands == 1 ? "" : "s",
                                 wire_words(link),
                                 answers_words(link.answers));
  const auto trials = cuts::try_link(*linked);
  for (const cuts::LinkTrial& trial : trials) {
    const cuts::LinkControl& control = cuts::control(link, trial.part);
    text += fmt::format("{:<18} line {:<3} {:<28} {:<20} {}\n",
                        cuts::to_words(trial.part),
                        control.line,
                        cuts::to_words(control),
                        span_words(trial),
                        worst_words(trial));
  }
  if (link.bands.empty()) {
    text += "\nNo bands are linked: every cut is set by hand.";
  }
  if (!link.fader) {
    text += "\nNo fader is linked: where it stands is typed.";
  }
  const std::string findings = findings_text(trials, link);
  return text +
         (findings.empty() ? "\nEvery value of the target has a number. " : "\n" + findings) +
         "Nothing was sent.\n";
}

std::string link_json(const cuts::Target& target) {
  Json json{{"schema", "brink/target/1"}, {"name", target.name}, {"bands", target.bands}};
  const auto linked = cuts::linked_target(target);
  if (!linked) {
    json["link"] = nullptr;
    return to_line(json);
  }
  const cuts::Link& link = linked->link;
  Json parts = Json::array();
  for (const cuts::LinkTrial& trial : cuts::try_link(*linked)) {
    const cuts::LinkControl& control = cuts::control(link, trial.part);
    parts.push_back({{"part", cuts::to_words(trial.part)},
                     {"line", control.line},
                     {"place", cuts::to_words(control)},
                     {"low", trial.low},
                     {"high", trial.high},
                     {"low_number", trial.first_number},
                     {"high_number", trial.last_number},
                     {"worst", round_to_decimals(trial.worst, 4)},
                     {"findings", trial.findings}});
  }
  json["link"] = {{"wire", link.wire == cuts::Link::Wire::kOsc ? "osc" : "midi"},
                  {"console", link.console},
                  {"answers", answers_word(link.answers)},
                  {"parts", parts}};
  return to_line(json);
}

std::string heard_text(const cuts::Link& link,
                       const io::ConsoleWord& word,
                       std::chrono::system_clock::time_point wall) {
  constexpr std::size_t kTimeAt = 11;  // of 2026-05-01T19:02:11.400+02:00
  constexpr std::size_t kTimeLength = 12;
  std::string meaning = "not in the file";
  if (word.part) {
    const auto value = value_of(link, word);
    meaning = cuts::to_words(*word.part) +
              (value ? fmt::format(" {:.4g}{}", *value, unit_of(word.part->kind))
                     : std::string(": not on its scale"));
  }
  return fmt::format("{}  {:<28} {:<12} {}\n",
                     base::wall_text(wall).substr(kTimeAt, kTimeLength),
                     base::printable(word.place),
                     base::printable(word.words),
                     meaning);
}

std::string heard_json(const cuts::Link& link,
                       const io::ConsoleWord& word,
                       std::chrono::system_clock::time_point wall) {
  const auto or_null = [](const std::optional<double>& number) {
    return number && std::isfinite(*number) ? Json(*number) : Json(nullptr);
  };
  return to_line({{"schema", "brink/target-heard/1"},
                  {"wall", base::wall_text(wall)},
                  {"place", word.place},
                  {"words", word.words},
                  {"number", or_null(word.number)},
                  {"part", word.part ? Json(cuts::to_words(*word.part)) : Json(nullptr)},
                  {"value", or_null(value_of(link, word))}});
}

}  // namespace brink::report
