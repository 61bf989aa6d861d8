#include "desk/reach_form.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "base/error.h"
#include "base/printable.h"

namespace brink::desk {
namespace {

constexpr double kFootM = 0.3048;  // international foot, exact

enum class Dimension : std::uint8_t { kNone, kLength, kVolume };

struct FieldInfo {
  const char* name;
  Dimension dimension;
  double lowest;  // of stepping; set() takes what loop::reach() takes
  double highest;
};

FieldInfo info(ReachField field) noexcept {
  constexpr double kNearest = 0.05;
  constexpr double kFarthest = 10000.0;
  switch (field) {
    case ReachField::kTalkerToMicrophone:
      return {"talker to microphone", Dimension::kLength, kNearest, kFarthest};
    case ReachField::kTalkerToListener:
      return {"talker to listener", Dimension::kLength, kNearest, kFarthest};
    case ReachField::kMicrophoneToLoudspeaker:
      return {"microphone to loudspeaker", Dimension::kLength, kNearest, kFarthest};
    case ReachField::kLoudspeakerToListener:
      return {"loudspeaker to listener", Dimension::kLength, kNearest, kFarthest};
    case ReachField::kGoodHearing:
      return {"good hearing distance", Dimension::kLength, kNearest, kFarthest};
    case ReachField::kOpenMicrophones:
      return {"number of open microphones", Dimension::kNone, 1.0, 64.0};
    case ReachField::kMargin:
      return {"margin", Dimension::kNone, 0.0, 20.0};
    case ReachField::kUnit:
      return {"unit", Dimension::kNone, 0.0, 1.0};
    case ReachField::kRoom:
      return {"room", Dimension::kNone, 0.0, 2.0};
    case ReachField::kCriticalDistance:
      return {"critical distance", Dimension::kLength, kNearest, kFarthest};
    case ReachField::kVolume:
      return {"volume", Dimension::kVolume, 10.0, 1e6};
    case ReachField::kT60:
      return {"T60", Dimension::kNone, 0.1, 20.0};
    case ReachField::kDirectivity:
      break;
  }
  return {"directivity", Dimension::kNone, 0.5, 200.0};
}

double length_step(double value) noexcept {
  return value < 1.0 ? 0.05 : value < 10.0 ? 0.5 : value < 100.0 ? 1.0 : 10.0;
}

double volume_step(double value) noexcept {
  return value < 100.0 ? 10.0 : value < 1000.0 ? 50.0 : 250.0;
}

/// About a twentieth to a tenth of the value, in figures that one would say.
double step_size(ReachField field, double value) noexcept {
  switch (info(field).dimension) {
    case Dimension::kNone:
      break;
    case Dimension::kLength:
      return length_step(value);
    case Dimension::kVolume:
      return volume_step(value);
  }
  return field == ReachField::kT60 ? 0.1 : field == ReachField::kDirectivity ? 0.5 : 1.0;
}

double stepped(ReachField field, double value, int direction) noexcept {
  // Down from the lower edge of a decade goes by the smaller step of what lies below.
  const double step = step_size(field, direction > 0 ? value * (1.0 + 1e-9) : value * (1.0 - 1e-9));
  const double whole = value / step;
  constexpr double kAlmost = 1e-6;
  const double next =
      direction > 0 ? std::floor(whole + kAlmost) + 1.0 : std::ceil(whole - kAlmost) - 1.0;
  return std::clamp(next * step, info(field).lowest, info(field).highest);
}

double parse(ReachField field, std::string_view text) {
  std::string plain(text);
  plain.erase(std::remove(plain.begin(), plain.end(), ' '), plain.end());
  std::replace(plain.begin(), plain.end(), ',', '.');
  double number = 0.0;
  const auto [end, error] = std::from_chars(plain.data(), plain.data() + plain.size(), number);
  if (error != std::errc{} || end != plain.data() + plain.size() || !std::isfinite(number)) {
    throw base::Error(
        fmt::format("{} takes a number; got '{}'.", info(field).name, base::printable(text)));
  }
  if (field == ReachField::kOpenMicrophones && number != std::floor(number)) {
    throw base::Error(
        fmt::format("{} must be a whole number; got {:g}.", info(field).name, number));
  }
  return number;
}

/// Hundredths are beyond any tape measure; whole units are, of a volume.
double rounded(Dimension dimension, double value) noexcept {
  return dimension == Dimension::kVolume ? std::round(value) : std::round(value * 100.0) / 100.0;
}

}  // namespace

double critical_distance_from_t60(double volume,
                                  double t60_s,
                                  double directivity,
                                  const std::string& unit) {
  const double unit_m = unit == "ft" ? kFootM : 1.0;
  const double volume_m3 = volume * unit_m * unit_m * unit_m;
  return loop::critical_distance_from_t60_m(volume_m3, t60_s, directivity) / unit_m;
}

ReachForm::ReachForm() {
  update();
}

std::vector<ReachField> ReachForm::fields() const {
  std::vector<ReachField> fields;
  for (int i = 0; i <= static_cast<int>(ReachField::kRoom); ++i) {
    fields.push_back(static_cast<ReachField>(i));
  }
  if (room_ == ReachRoom::kCriticalDistance) {
    fields.push_back(ReachField::kCriticalDistance);
  } else if (room_ == ReachRoom::kVolumeAndT60) {
    fields.insert(fields.end(), {ReachField::kVolume, ReachField::kT60, ReachField::kDirectivity});
  }
  return fields;
}

const char* ReachForm::name(ReachField field) noexcept {
  return info(field).name;
}

bool ReachForm::is_choice(ReachField field) noexcept {
  return field == ReachField::kUnit || field == ReachField::kRoom;
}

double& ReachForm::value(ReachField field) noexcept {
  loop::ReachSetup& setup = question_.setup;
  switch (field) {
    case ReachField::kTalkerToMicrophone:
      return setup.talker_to_microphone;
    case ReachField::kTalkerToListener:
      return setup.talker_to_listener;
    case ReachField::kMicrophoneToLoudspeaker:
      return setup.microphone_to_loudspeaker;
    case ReachField::kLoudspeakerToListener:
      return setup.loudspeaker_to_listener;
    case ReachField::kGoodHearing:
      return setup.good_hearing;
    case ReachField::kOpenMicrophones:
      return open_microphones_;
    case ReachField::kMargin:
      return setup.margin_db;
    case ReachField::kCriticalDistance:
      return critical_distance_;
    case ReachField::kVolume:
      return volume_;
    case ReachField::kT60:
      return t60_s_;
    case ReachField::kUnit:
    case ReachField::kRoom:
    case ReachField::kDirectivity:
      break;
  }
  return directivity_;
}

double ReachForm::value(ReachField field) const noexcept {
  return const_cast<ReachForm*>(this)->value(field);  // reads alone
}

std::string ReachForm::number_text(ReachField field) const {
  return is_choice(field) ? std::string() : fmt::format("{:.6g}", value(field));
}

std::string ReachForm::value_text(ReachField field) const {
  if (field == ReachField::kUnit) {
    return question_.unit == "ft" ? "feet" : "metres";
  }
  if (field == ReachField::kRoom) {
    return room_ == ReachRoom::kOutdoors           ? "outdoors"
           : room_ == ReachRoom::kCriticalDistance ? "by critical distance"
                                                   : "by volume and T60";
  }
  std::string number = number_text(field);
  if (field == ReachField::kMargin) {
    return number + " dB";
  }
  if (field == ReachField::kT60) {
    return number + " s";
  }
  switch (info(field).dimension) {
    case Dimension::kLength:
      return number + " " + question_.unit;
    case Dimension::kVolume:
      return number + " cubic " + (question_.unit == "ft" ? "feet" : "metres");
    case Dimension::kNone:
      break;
  }
  return number;
}

void ReachForm::switch_unit() {
  const bool was_feet = question_.unit == "ft";
  const double factor = was_feet ? kFootM : 1.0 / kFootM;
  for (int i = 0; i <= static_cast<int>(ReachField::kDirectivity); ++i) {
    const auto field = static_cast<ReachField>(i);
    const Dimension dimension = info(field).dimension;
    if (dimension != Dimension::kNone) {
      const double power = dimension == Dimension::kVolume ? 3.0 : 1.0;
      value(field) = rounded(dimension, value(field) * std::pow(factor, power));
    }
  }
  question_.unit = was_feet ? "m" : "ft";
}

void ReachForm::step(ReachField field, int steps) {
  if (field == ReachField::kUnit) {
    if (steps % 2 != 0) {
      switch_unit();
    }
  } else if (field == ReachField::kRoom) {
    room_ = static_cast<ReachRoom>(std::clamp(static_cast<int>(room_) + steps, 0, 2));
  } else {
    for (; steps != 0; steps -= steps > 0 ? 1 : -1) {
      value(field) = stepped(field, value(field), steps);
    }
  }
  update();
}

/// By itself, whatever the other values are.
void ReachForm::require_in_range(ReachField field, double number) const {
  ReachForm alone = *this;
  alone.room_ = field == ReachField::kCriticalDistance ? ReachRoom::kCriticalDistance
                : field == ReachField::kVolume || field == ReachField::kT60 ||
                        field == ReachField::kDirectivity
                    ? ReachRoom::kVolumeAndT60
                    : ReachRoom::kOutdoors;
  // Four distances alike always meet; beyond the range, one stands for the others.
  const bool is_in_range = number > 0.0 && number <= info(field).highest;
  for (const ReachField distance : {ReachField::kTalkerToMicrophone,
                                    ReachField::kTalkerToListener,
                                    ReachField::kMicrophoneToLoudspeaker,
                                    ReachField::kLoudspeakerToListener}) {
    alone.value(distance) = is_in_range ? number : 1.0;
  }
  alone.value(field) = number;
  alone.update();
  if (!alone.answer_) {
    throw base::Error(alone.fault_);
  }
}

void ReachForm::set(ReachField field, std::string_view text) {
  const double number = parse(field, text);
  require_in_range(field, number);
  value(field) = number;
  update();
}

void ReachForm::update() {
  fault_.clear();
  answer_.reset();
  loop::ReachSetup& setup = question_.setup;
  // Far out of its range it is still refused, as a whole number of its type.
  setup.open_microphones = static_cast<int>(std::clamp(open_microphones_, -1e6, 1e6));
  try {
    setup.critical_distance = room_ == ReachRoom::kOutdoors ? std::nullopt
                              : room_ == ReachRoom::kCriticalDistance
                                  ? std::optional(critical_distance_)
                                  : std::optional(critical_distance_from_t60(
                                        volume_, t60_s_, directivity_, question_.unit));
    answer_ = loop::reach(setup);
  } catch (const base::Error& error) {
    fault_ = error.what();
  }
}

}  // namespace brink::desk
