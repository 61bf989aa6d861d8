#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "cuts/band.h"
#include "cuts/link/linked_target.h"

namespace brink::cuts {

/// What a linked console's bands stand at, in the console's own numbers, as far as that is known.
/// [any]
class LinkBands {
 public:
  /// Nothing is known at first.
  explicit LinkBands(const LinkedTarget& linked);

  [[nodiscard]] const Link& link() const noexcept { return link_; }

  [[nodiscard]] std::size_t count() const noexcept { return link_.bands.size(); }

  /// Of a band's part; not of the fader.
  [[nodiscard]] std::optional<double> number(const LinkPart& part) const;
  void set(const LinkPart& part, std::optional<double> number);
  void forget(std::size_t band);
  /// As they are after "equaliser flat": every depth at 0 dB. A console whose numbers have no 0 dB
  /// stays unknown.
  void assume_flat();

  /// Nothing while it is not known. The centre and Q of a flat band do not matter and may be any.
  [[nodiscard]] std::optional<Cut> cut(std::size_t band) const;

  /// Depth 0, as near as matters.
  [[nodiscard]] bool is_flat(std::size_t band) const;

  /// All bands that are known.
  [[nodiscard]] std::vector<Cut> known() const;

  /// The band of a graphic that a cut belongs to; nothing on a parametric one.
  [[nodiscard]] std::optional<std::size_t> graphic_band(const Cut& cut) const;

 private:
  struct Numbers {
    std::optional<double> frequency;
    std::optional<double> q;
    std::optional<double> depth;
  };

  [[nodiscard]] std::optional<double> value(const LinkPart& part) const;

  Link link_;
  std::vector<double> graphic_hz_;  // empty: parametric
  double graphic_q_ = 1.0;
  std::vector<Numbers> numbers_;
};

/// Two values of one part count as the same, since consoles round: within a twenty-fourth of an
/// octave of frequency, a fifth of an octave of Q, 0.3 dB.
[[nodiscard]] bool is_near_value(LinkPart::Kind kind, double a, double b) noexcept;

/// A band of a console counts as this cut.
[[nodiscard]] bool is_near(const Cut& a, const Cut& b) noexcept;

}  // namespace brink::cuts
