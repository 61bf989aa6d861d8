#include "show/ring_out/ring_out_advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

namespace brink::show {
namespace {

constexpr int kUsualRounds = 5;
constexpr int kMostRounds = 7;
constexpr int kMostAtOnce = 3;
constexpr double kLeastWonDb = 1.0;

/// What the newest rounds won that it is known of.
struct Won {
  std::ptrdiff_t last_round = 0;  // its number
  std::optional<double> last_db;
  std::optional<double> last_two_db;  // together
};

Won newest_won(const show::OutputRecord& output) noexcept {
  Won won;
  for (auto round = output.rounds.rbegin(); round != output.rounds.rend() && !won.last_two_db;
       ++round) {
    const auto here_db = won_db(*round);
    if (here_db && won.last_db) {
      won.last_two_db = *won.last_db + *here_db;
    } else if (here_db) {
      won.last_db = here_db;
      won.last_round = output.rounds.rend() - round;
    }
  }
  return won;
}

/// The rings that are caught and the rounds that rang before them without the fader going up.
int ringing_at_once(const show::OutputRecord& output,
                    std::span<const std::optional<double>> caught_at_db) {
  auto count = static_cast<int>(caught_at_db.size());
  auto round = output.rounds.rbegin();
  const auto at_db = caught_at_db.empty()
                         ? (round == output.rounds.rend() ? std::nullopt : round->rang_at_db)
                         : caught_at_db.front();
  for (; round != output.rounds.rend() && at_db && round->rang_at_db == at_db; ++round) {
    if (round->returned_at_db) {
      break;  // the same place again, or the fader was up in between
    }
    ++count;
  }
  return count;
}

}  // namespace

int round_count(const show::OutputRecord& output) noexcept {
  return static_cast<int>(
      std::count_if(output.rounds.begin(), output.rounds.end(), [](const show::RoundRecord& round) {
        return round.cut.has_value();
      }));
}

Advice advise(const show::OutputRecord& output,
              std::span<const std::optional<double>> caught_at_db) {
  const int rounds = round_count(output);
  const Won won = newest_won(output);
  const bool is_little = won.last_db && *won.last_db < kLeastWonDb;
  if (const int at_once = ringing_at_once(output, caught_at_db); at_once > kMostAtOnce) {
    return {Advice::Kind::kStop, fmt::format("Stop: {} ring at once, more than three.", at_once)};
  }
  if (won.last_two_db && *won.last_two_db < kLeastWonDb) {
    return {Advice::Kind::kStop,
            fmt::format("Stop: the last two rounds together won {:.1f} dB, less than 1 dB.",
                        *won.last_two_db)};
  }
  if (is_little && rounds >= kUsualRounds) {
    return {Advice::Kind::kStop,
            fmt::format("Stop after {} rounds: round {} won {:.1f} dB, less than 1 dB.",
                        rounds,
                        won.last_round,
                        *won.last_db)};
  }
  if (rounds >= kMostRounds) {
    return {Advice::Kind::kStop, fmt::format("Stop: {} rounds; 5 to 7 are usual.", rounds)};
  }
  if (rounds >= kUsualRounds) {
    return {Advice::Kind::kMayStop,
            fmt::format("{} rounds done: 5 to 7 are usual, so stop here or soon.", rounds)};
  }
  if (is_little) {
    return {
        Advice::Kind::kMayStop,
        fmt::format("You may stop: round {} won {:.1f} dB, less than 1 dB. Or go on: {} of 5 to "
                    "7 rounds are done.",
                    won.last_round,
                    *won.last_db,
                    rounds)};
  }
  if (won.last_db) {
    return {Advice::Kind::kGoOn,
            fmt::format("Go on: round {} of 5 to 7, and round {} won {:.1f} dB.",
                        rounds + 1,
                        won.last_round,
                        *won.last_db)};
  }
  return {Advice::Kind::kGoOn, fmt::format("Go on: round {} of 5 to 7.", rounds + 1)};
}

}  // namespace brink::show
