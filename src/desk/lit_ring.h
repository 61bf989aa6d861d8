#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace brink::desk {

/// A ring as far as its place in a list goes.
struct ListedRing {
  std::uint64_t id = 0;
  bool is_sounding = false;
  bool is_certain = false;
  double level_dbfs = 0.0;
};

/// Which ring of a list is lit (the keys act on it), and the order of the list.
///
/// The lit one stands first and stays lit until another one is chosen or it is over. Below it stand
/// the certain rings that sound, the loudest first, then those that build, then what is over, which
/// may be chosen and stays where it is. Two that sound change places only for 3 dB, so that the
/// list can be read. A ring that only builds has no cut. If it is lit and the user did not choose
/// it, the first certain ring becomes lit.
class LitRing {
 public:
  /// A key that comes sooner after a change of what is lit was meant for the one before.
  static constexpr double kSettleS = 0.3;

  /// Once a pass, with the rings that are listed now; `now_s` of a clock that never jumps.
  void follow(std::span<const ListedRing> rings, double now_s);

  /// Nothing when the list is empty.
  [[nodiscard]] std::optional<std::uint64_t> lit() const noexcept { return lit_; }

  /// By the user: the next one down the list that was not lit yet, and after the last the first.
  void light_next();
  /// By the user; without effect for one that is not listed.
  void light(std::uint64_t id);

  /// The keys do something else now although the same ring is lit.
  void begin_anew(double now_s) noexcept { changed_s_ = now_s; }

  /// Whether a key may be taken for the ring that is lit.
  [[nodiscard]] bool is_settled(double now_s) const noexcept {
    return lit_.has_value() && now_s - changed_s_ >= kSettleS;
  }

  /// Puts a list into this order; what is not known goes last.
  template <typename Ring, typename Id>
  void arrange(std::vector<Ring>& rings, const Id& id_of) const {
    std::stable_sort(rings.begin(), rings.end(), [&](const Ring& a, const Ring& b) {
      return place_of(id_of(a)) < place_of(id_of(b));
    });
  }

 private:
  [[nodiscard]] std::size_t place_of(std::uint64_t id) const noexcept;

  std::vector<std::uint64_t> order_;
  std::vector<std::uint64_t> seen_;  // were lit since the list was gone through last
  std::optional<std::uint64_t> lit_;
  std::vector<std::uint64_t> over_;
  bool is_chosen_ = false;  // by the user
  bool was_over_ = false;   // when it was chosen
  double changed_s_ = -std::numeric_limits<double>::infinity();
};

}  // namespace brink::desk
