#include "desk/lit_ring.h"

#include <doctest/doctest.h>

using namespace brink;
using desk::ListedRing;
using desk::LitRing;

namespace {

constexpr ListedRing ringing(std::uint64_t id, double level_dbfs) {
  return {id, true, true, level_dbfs};
}

constexpr ListedRing building(std::uint64_t id, double level_dbfs) {
  return {id, true, false, level_dbfs};
}

constexpr ListedRing over(std::uint64_t id) {
  return {id, false, true, -70.0};
}

/// The ids in the order of the list.
std::vector<std::uint64_t> follow(LitRing& lit, std::vector<ListedRing> rings, double now_s = 0.0) {
  lit.follow(rings, now_s);
  std::vector<std::uint64_t> ids;
  for (const ListedRing& ring : rings) {
    ids.push_back(ring.id);
  }
  lit.arrange(ids, [](std::uint64_t id) { return id; });
  return ids;
}

using Ids = std::vector<std::uint64_t>;

}  // namespace

TEST_CASE("what is lit stays lit when something louder rings, and the loudest stands below it") {
  LitRing lit;
  CHECK(follow(lit, {ringing(1, -40.0)}) == Ids{1});
  CHECK(follow(lit, {ringing(3, -10.0), ringing(2, -20.0), ringing(1, -40.0)}) == Ids{1, 3, 2});
  CHECK(lit.lit() == 1);
  // For less than 3 dB the list stays as it is.
  CHECK(follow(lit, {ringing(3, -18.0), ringing(2, -16.0), ringing(1, -40.0)}) == Ids{1, 3, 2});
  CHECK(follow(lit, {ringing(3, -20.0), ringing(2, -16.0), ringing(1, -40.0)}) == Ids{1, 2, 3});
}

TEST_CASE("what is over never stands above what sounds, and gives its light away") {
  LitRing lit;
  CHECK(follow(lit, {ringing(1, -20.0), ringing(2, -30.0), building(3, -50.0)}) == Ids{1, 2, 3});
  CHECK(follow(lit, {over(1), ringing(2, -30.0), building(3, -50.0)}) == Ids{2, 3, 1});
  CHECK(follow(lit, {over(1), over(2), building(3, -50.0)}) == Ids{3, 2, 1});
  // With nothing else it is what may still be logged.
  CHECK(follow(lit, {over(1), over(2)}).size() == 2);
  CHECK(lit.lit().has_value());
}

TEST_CASE("a light that nobody put on a ring that builds goes to the first that is certain") {
  LitRing lit;
  CHECK(follow(lit, {building(1, -30.0)}) == Ids{1});
  CHECK(follow(lit, {building(1, -30.0), ringing(2, -40.0)}) == Ids{2, 1});
  lit.light(1);
  CHECK(follow(lit, {building(1, -30.0), ringing(2, -40.0)}) == Ids{1, 2});
  CHECK(follow(lit, {ringing(2, -40.0)}) == Ids{2});
}

TEST_CASE("the user goes through all of them, whatever their order becomes") {
  LitRing lit;
  const std::vector<ListedRing> rings{ringing(1, -10.0), ringing(2, -20.0), over(3)};
  Ids lit_ids;
  for (int press = 0; press < 6; ++press) {
    const Ids order = follow(lit, rings);
    CHECK(order.back() == 3);  // over: it may be lit, and stands last all the same
    lit_ids.push_back(*lit.lit());
    lit.light_next();
  }
  CHECK(lit_ids == Ids{1, 2, 3, 1, 2, 3});
}

TEST_CASE("a key right after a change of what is lit is not for the new one") {
  LitRing lit;
  CHECK_FALSE(lit.is_settled(0.0));
  follow(lit, {ringing(1, -20.0)}, 10.0);
  CHECK_FALSE(lit.is_settled(10.2));
  CHECK(lit.is_settled(10.31));
  follow(lit, {ringing(2, -20.0)}, 11.0);  // the first was cut
  CHECK_FALSE(lit.is_settled(11.2));
  CHECK(lit.is_settled(11.31));
  lit.light_next();
  follow(lit, {ringing(2, -20.0), ringing(3, -20.0)}, 12.0);
  lit.light_next();  // by the user's own hand
  CHECK(lit.lit() == 3);
  CHECK(lit.is_settled(12.0));
}
