// What ringing out wins on simulated rooms, by the loop's own transfer function, and the mean level
// that it costs. Once it ends as advised, and once after seven rounds in spite of the advice. Not a
// test.

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <numeric>
#include <string>
#include <vector>

#include "support/stage_evening.h"

using namespace brink;
using tests::StageEvening;

namespace {

constexpr std::uint64_t kRooms = 14;
constexpr int kMostRounds = 7;

struct Sums {
  std::vector<double> won_db;
  std::vector<double> lost_db;
  std::vector<double> rounds;

  void add(const std::vector<StageEvening::Cut>& made, std::size_t count) {
    won_db.push_back(count == 0 ? 0.0 : made[count - 1].stable_gain_db);
    lost_db.push_back(count == 0 ? 0.0 : made[count - 1].lost_db);
    rounds.push_back(static_cast<double>(count));
  }

  void print(const std::string& what) const {
    const auto mean = [](const std::vector<double>& values) {
      return std::accumulate(values.begin(), values.end(), 0.0) /
             static_cast<double>(values.size());
    };
    fmt::print(
        "{}: won {:.2f} dB (least {:.2f}, 3 dB in {} of {}), lost {:.2f} dB, {:.1f} rounds\n",
        what,
        mean(won_db),
        *std::min_element(won_db.begin(), won_db.end()),
        std::count_if(won_db.begin(), won_db.end(), [](double db) { return db >= 3.0; }),
        won_db.size(),
        mean(lost_db),
        mean(rounds));
    std::fflush(stdout);
  }
};

void ring_out_rooms(const char* rooms, loop::Scene (*scene)(std::uint64_t), const char* target) {
  Sums as_advised;
  Sums all_rounds;
  for (std::uint64_t room = 1; room <= kRooms; ++room) {
    StageEvening::Options options;
    options.has_tone = false;
    options.most_rounds = kMostRounds;
    StageEvening evening(scene(room), target, options);
    evening.ring_out();
    const auto& made = evening.made;
    const auto stop = std::find_if(made.begin(), made.end(), [](const StageEvening::Cut& cut) {
      return cut.advice.kind == show::Advice::Kind::kStop;
    });
    as_advised.add(made, static_cast<std::size_t>(stop - made.begin()));
    all_rounds.add(made, made.size());
  }
  as_advised.print(fmt::format("{}, {}, as advised", rooms, target));
  all_rounds.print(fmt::format("{}, {}, {} rounds", rooms, target, kMostRounds));
}

}  // namespace

int main() {
  for (const char* const target : {"parametric", "parametric-4", "third-octave"}) {
    ring_out_rooms("with peaks", tests::wedge_scene, target);
    ring_out_rooms("flat", tests::flat_wedge_scene, target);
  }
}
