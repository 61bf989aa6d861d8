#include "io/live/player.h"

#include <doctest/doctest.h>

#include <chrono>
#include <cmath>
#include <limits>
#include <thread>
#include <vector>

#include "base/error.h"

using namespace brink;
using io::Player;

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("what cannot be played is refused with a sentence") {
  const std::vector<float> some(4800, 0.1F);
  CHECK_THROWS_AS(Player(48000.0, {}), base::Error);
  CHECK_THROWS_AS(Player(100.0, some), base::Error);
  CHECK_THROWS_AS(Player(std::numeric_limits<double>::quiet_NaN(), some), base::Error);
  CHECK_THROWS_AS(Player(48000.0, some, "/nowhere/at/all"), base::Error);
  // Longer than what it takes, at the lowest rate so that it is little.
  const std::vector<float> long_one(static_cast<std::size_t>(8000.0 * Player::kLongestS) + 1);
  CHECK_THROWS_AS(Player(8000.0, long_one), base::Error);
}

TEST_CASE("a process that ends by itself is a failure, said once and for all, and nothing hangs") {
  const std::vector<float> some(4800, 0.1F);
  Player player(48000.0, some, "/bin/true");
  player.play();
  const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(10);
  while (player.state() != Player::State::kFailed && std::chrono::steady_clock::now() < until) {
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  CHECK(player.state() == Player::State::kFailed);
  CHECK(player.why() == "The process for live sound ended by itself.");
  player.play();
  player.stop();
  CHECK(player.state() == Player::State::kFailed);
}

TEST_CASE("a level is kept within what is allowed") {
  const std::vector<float> some(4800, 0.1F);
  Player player(48000.0, some, "/bin/true");
  CHECK(player.level_db() == Player::kFirstLevelDb);
  player.set_level_db(20.0);
  CHECK(player.level_db() == 0.0);
  player.set_level_db(-1000.0);
  CHECK(player.level_db() == -100.0);
  player.set_level_db(std::numeric_limits<double>::quiet_NaN());
  CHECK(player.level_db() == -100.0);
}

TEST_SUITE_END();
