#include "panel/sweep/sweep_form.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/printable.h"

namespace brink::panel {
namespace {

using Texts = std::vector<std::string>;

std::string text_of(const std::optional<double>& value) {
  return value ? fmt::format("{:g}", *value) : std::string();
}

/// Nothing for an empty text.
std::optional<double> number_of(const std::string& text) {
  if (text.find_first_not_of(' ') == std::string::npos) {
    return std::nullopt;
  }
  char* end = nullptr;
  const double value = std::strtod(text.c_str(), &end);
  if (*end != '\0' || !std::isfinite(value)) {
    throw base::Error(fmt::format("'{}' is not a number.", base::printable(text)));
  }
  return value;
}

double wanted_number(const std::string& text, const char* what) {
  const auto value = number_of(text);
  if (!value) {
    throw base::Error(fmt::format("{} is missing: type a number.", what));
  }
  return *value;
}

int wanted_channel(const std::string& text, const char* what) {
  const double value = wanted_number(text, what);
  if (value != std::round(value) || std::abs(value) > 1000.0) {
    throw base::Error(fmt::format("{} is a whole number.", what));
  }
  return static_cast<int>(value);
}

std::optional<double> scaled(const std::optional<double>& value, double by) {
  return value ? std::optional(*value * by) : std::nullopt;
}

std::vector<FormField> lengths_and_ceiling(const desk::SweepSettings& settings) {
  return {{"No louder than, dBFS", fmt::format("{:g}", settings.ceiling_dbfs)},
          {"Each sweep, s", fmt::format("{:g}", settings.length_s)},
          {"Time for the room, s", fmt::format("{:g}", settings.decay_s)}};
}

void take_lengths_and_ceiling(const Texts& texts, desk::SweepSettings& settings) {
  settings.ceiling_dbfs = wanted_number(texts[0], "The ceiling");
  settings.length_s = wanted_number(texts[1], "The length of a sweep");
  settings.decay_s = wanted_number(texts[2], "The time for the room");
}

std::vector<FormField> device_fields(const desk::SweepSettings& settings) {
  const report::SweepKnowledge& known = settings.known;
  return {{"Console's delay, ms", text_of(scaled(known.console_delay_s, 1000.0))},
          {"Console's gain, dB", text_of(known.console_gain_db)},
          {"Loudspeaker to microphone, m", text_of(known.distance_m)},
          {"Output device", settings.output},
          {"Its channel, 0: first two", fmt::format("{}", settings.output_channel)},
          {"Reference input, 0: none", fmt::format("{}", settings.reference_channel)}};
}

void take_device_fields(const Texts& texts, desk::SweepSettings& settings) {
  settings.known.console_delay_s = scaled(number_of(texts[0]), 0.001);
  settings.known.console_gain_db = number_of(texts[1]);
  settings.known.distance_m = number_of(texts[2]);
  settings.output = texts[3];
  settings.output_channel = wanted_channel(texts[4], "The output's channel");
  settings.reference_channel = wanted_channel(texts[5], "The reference's channel");
}

}  // namespace

void ask_sweep_settings(TextForm& form, desk::SweepWork& work) {
  std::vector<FormField> fields =
      work.is_on_stage() ? std::vector<FormField>{} : device_fields(work.settings());
  const std::size_t device_count = fields.size();
  for (FormField& field : lengths_and_ceiling(work.settings())) {
    fields.push_back(std::move(field));
  }
  const auto take = [&work, device_count](const Texts& texts) -> std::optional<std::string> {
    try {
      desk::SweepSettings settings = work.settings();
      if (device_count > 0) {
        take_device_fields(texts, settings);
      }
      take_lengths_and_ceiling(
          {texts.begin() + static_cast<std::ptrdiff_t>(device_count), texts.end()}, settings);
      work.set(settings);
    } catch (const base::Error& error) {
      return error.what();
    }
    return std::nullopt;
  };
  form.open(work.is_on_stage()
                ? "How it is played"
                : "What the sweep cannot see (empty: not known), and how it is played",
            std::move(fields),
            take);
}

}  // namespace brink::panel
