#pragma once

#include <optional>
#include <vector>

#include "cuts/link/link_bands.h"

namespace brink::cuts {

/// What a console tells of itself. A packet may be late, so another number than before counts only
/// after a second has passed in which nothing spoke against it. [one thread]
class LinkReads {
 public:
  explicit LinkReads(const LinkedTarget& linked) : bands_(linked) {}

  [[nodiscard]] const LinkBands& bands() const noexcept { return bands_; }

  [[nodiscard]] std::optional<double> fader_db() const noexcept { return fader_db_; }

  /// A number of `part`; false for one that its scale does not have.
  bool hear(const LinkPart& part, double number, double now_s);

  /// Something else than what is known was heard, and it is not settled which counts.
  [[nodiscard]] bool is_in_doubt() const noexcept { return !doubts_.empty(); }

  /// Where a console only tells what changes, what it told counts after a second.
  void settle(double now_s);

  /// The number is known to stand there: it was sent.
  void set(const LinkPart& part, double number);
  /// Two numbers of one part that mean the same (is_near_value()).
  [[nodiscard]] bool is_same(const LinkPart& part, double a, double b) const noexcept;

  void assume_flat();
  void forget(std::size_t band);
  void forget_all();

  static constexpr double kSettleS = 1.0;

 private:
  /// Something else than what is known.
  struct Doubt {
    LinkPart part;
    double number = 0.0;
    double since_s = 0.0;
  };

  void drop_doubt(const LinkPart& part);

  LinkBands bands_;
  std::optional<double> fader_db_;
  std::vector<Doubt> doubts_;
};

}  // namespace brink::cuts
