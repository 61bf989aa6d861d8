#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "cuts/link/guard.h"
#include "cuts/link/link_talk.h"
#include "support/simulated_console.h"

namespace brink::tests {

/// brink, a console, and the network between them, in steps of 10 ms.
struct Evening {
  explicit Evening(const cuts::LinkedTarget& target,
                   const SimulatedConsole::Network& network = {},
                   std::uint64_t seed = 1)
      : talk(target), console(target, network, seed) {
    talk.set_open(true, now_s);
  }

  void run(double seconds) {
    for (const double end_s = now_s + seconds; now_s < end_s; now_s += 0.01) {
      for (const cuts::LinkMessage& message : talk.due(now_s)) {
        has_set_fader = has_set_fader || (message.kind == cuts::LinkMessage::Kind::kSet &&
                                          message.part.kind == cuts::LinkPart::Kind::kFader);
        console.take(message, now_s);
      }
      console.run(
          now_s,
          [this](const auto& before, const auto& after, double at_s) {
            const double fall_db = cuts::highest_rise(after, before).db;
            steepest_db = std::max(steepest_db, fall_db);
            if (fall_db > 0.0) {
              shortest_pause_s = std::min(shortest_pause_s, at_s - changed_s);
              changed_s = at_s;
            }
            highest_db = std::max(highest_db, cuts::highest_rise(start, after).db);
          },
          [this](const cuts::LinkPart& part, double number) { talk.hear(part, number, now_s); });
    }
  }

  void log(const std::vector<cuts::Band>& after) {
    const auto& reports = talk.reports();
    const bool is_idle = std::none_of(reports.begin(), reports.end(), [](const auto& report) {
      return report.state == cuts::LinkReport::State::kSending ||
             report.state == cuts::LinkReport::State::kWaiting;
    });
    if (is_idle) {  // otherwise a packet of the key before may still be on its way
      start = console.bands();
    }
    talk.log(logged, after);
    logged = after;
  }

  cuts::LinkTalk talk;
  SimulatedConsole console;
  std::vector<cuts::Band> logged;
  std::vector<cuts::Cut> start;  // the console's bands at the last key
  double now_s = 0.0;
  double changed_s = -1.0;
  double steepest_db = 0.0;  // largest fall by one number
  double shortest_pause_s = 1e9;
  double highest_db = 0.0;  // over the bands at the last key
  bool has_set_fader = false;
};

}  // namespace brink::tests
