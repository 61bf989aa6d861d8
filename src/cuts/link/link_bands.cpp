#include "cuts/link/link_bands.h"

#include <algorithm>
#include <cmath>

namespace brink::cuts {
namespace {

constexpr double kFlatDb = 0.05;

}  // namespace

bool is_near_value(LinkPart::Kind kind, double a, double b) noexcept {
  switch (kind) {
    case LinkPart::Kind::kFrequency:
      return std::abs(std::log2(a / b)) <= 1.0 / 24.0;
    case LinkPart::Kind::kQ:
      return std::abs(std::log2(a / b)) <= 0.2;
    default:
      return std::abs(a - b) <= 0.3;
  }
}

bool is_near(const Cut& a, const Cut& b) noexcept {
  return is_near_value(LinkPart::Kind::kFrequency, a.centre_hz, b.centre_hz) &&
         is_near_value(LinkPart::Kind::kQ, a.q, b.q) &&
         is_near_value(LinkPart::Kind::kDepth, a.depth_db, b.depth_db);
}

LinkBands::LinkBands(const LinkedTarget& linked) : link_(linked.link) {
  const Target& target = linked.target;
  numbers_.resize(link_.bands.size());
  if (target.kind == Target::Kind::kGraphic) {
    graphic_hz_ = target.centres_hz;
    graphic_q_ = target.qs.front();
  }
}

std::optional<double> LinkBands::number(const LinkPart& part) const {
  const Numbers& numbers = numbers_.at(part.band);
  return part.kind == LinkPart::Kind::kFrequency ? numbers.frequency
         : part.kind == LinkPart::Kind::kQ       ? numbers.q
                                                 : numbers.depth;
}

void LinkBands::set(const LinkPart& part, std::optional<double> number) {
  Numbers& numbers = numbers_.at(part.band);
  (part.kind == LinkPart::Kind::kFrequency ? numbers.frequency
   : part.kind == LinkPart::Kind::kQ       ? numbers.q
                                           : numbers.depth) = number;
}

void LinkBands::forget(std::size_t band) {
  numbers_.at(band) = {};
}

void LinkBands::assume_flat() {
  for (std::size_t band = 0; band < count(); ++band) {
    const Scale& scale = link_.bands[band].depth->scale;
    const double number = scale.number_of(0.0);
    if (std::abs(scale.value_of(number).value_or(1.0)) <= kFlatDb) {
      numbers_[band] = {std::nullopt, std::nullopt, number};
    }
  }
}

std::optional<double> LinkBands::value(const LinkPart& part) const {
  const auto known = number(part);
  return known ? control(link_, part).scale.value_of(*known) : std::nullopt;
}

bool LinkBands::is_flat(std::size_t band) const {
  const auto depth_db = value({LinkPart::Kind::kDepth, band});
  return depth_db && std::abs(*depth_db) <= kFlatDb;
}

std::optional<Cut> LinkBands::cut(std::size_t band) const {
  const auto depth_db = value({LinkPart::Kind::kDepth, band});
  if (!depth_db) {
    return std::nullopt;
  }
  if (!graphic_hz_.empty()) {
    return Cut{graphic_hz_.at(band), graphic_q_, *depth_db};
  }
  const auto frequency_hz = value({LinkPart::Kind::kFrequency, band});
  const auto q = value({LinkPart::Kind::kQ, band});
  if (frequency_hz && q) {
    return Cut{*frequency_hz, *q, *depth_db};
  }
  constexpr Cut kAnywhere{1000.0, 1.0, 0.0};
  return is_flat(band) ? std::optional(kAnywhere) : std::nullopt;
}

std::vector<Cut> LinkBands::known() const {
  std::vector<Cut> cuts;
  for (std::size_t band = 0; band < count(); ++band) {
    if (const auto one = cut(band)) {
      cuts.push_back(*one);
    }
  }
  return cuts;
}

std::optional<std::size_t> LinkBands::graphic_band(const Cut& cut) const {
  if (graphic_hz_.empty()) {
    return std::nullopt;
  }
  const auto nearest =
      std::min_element(graphic_hz_.begin(), graphic_hz_.end(), [&](double a, double b) {
        return std::abs(std::log(a / cut.centre_hz)) < std::abs(std::log(b / cut.centre_hz));
      });
  return static_cast<std::size_t>(nearest - graphic_hz_.begin());
}

}  // namespace brink::cuts
