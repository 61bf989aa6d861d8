#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/printable.h"
#include "base/units.h"
#include "report/plan_report.h"
#include "show/cut_words.h"

namespace brink::report {
namespace {

std::string plural(std::size_t count, const char* one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

std::string hz_text(double frequency_hz) {
  return frequency_hz < 100.0 ? fmt::format("{:.1f} Hz", frequency_hz)
                              : fmt::format("{:.0f} Hz", frequency_hz);
}

/// "811 Hz, 2631 Hz and 5200 Hz"
std::string join(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += i == 0 ? "" : i + 1 == words.size() ? " and " : ", ";
    text += words[i];
  }
  return text;
}

std::string ring_names(const PlanReport& report, const std::vector<int>& indices) {
  std::vector<std::string> names;
  names.reserve(indices.size());
  for (const int index : indices) {
    names.push_back(hz_text(report.rings[static_cast<std::size_t>(index)].frequency_hz));
  }
  return join(names);
}

std::string move_text(const PlanReport& report, const cuts::Move& move) {
  std::string text;
  if (move.is_high_pass) {
    text = fmt::format("  high-pass at {}", hz_text(move.cut.centre_hz));
  } else if (report.target.kind == cuts::Target::Kind::kGraphic) {
    text = fmt::format(
        "  band {:>8}  {:5.1f} dB", show::band_name(move.cut.centre_hz), move.cut.depth_db);
  } else {
    text = fmt::format("  {:>9}  Q {:<5.3g} {:5.1f} dB",
                       hz_text(move.cut.centre_hz),
                       move.cut.q,
                       move.cut.depth_db);
  }
  text = fmt::format(
      "{:<30} buys {:.1f} dB, costs {:.2f} dB of sound", text, move.buys_db, move.costs_db);
  if (!move.for_rings.empty()) {
    text += fmt::format("; for {}", ring_names(report, move.for_rings));
  }
  return text + "\n";
}

std::string head_text(const PlanReport& report) {
  const std::string source =
      report.is_from_loop ? "the loop's response" : plural(report.rings.size(), "ring");
  std::string text =
      fmt::format("Plan for the target {}, from {}", base::printable(report.target.name), source);
  if (report.loop_level_db) {
    const double level_db = *report.loop_level_db;
    text += level_db <= 0.0 ? fmt::format(" ({:.1f} dB below the brink as it is)", -level_db)
                            : fmt::format(" ({:.1f} dB over the brink as it is)", level_db);
  }
  return text + "\n\n";
}

std::string tail_text(const PlanReport& report) {
  const cuts::Plan& plan = report.plan;
  const ExpectedGain expected = expected_gain(report);
  std::string text =
      report.is_from_loop
          ? fmt::format("\nStable gain won: {:.1f} dB.", plan.won_db)
          : fmt::format(
                "\nThe rings{} come down by {:.1f} dB; the loop's next ones stay. Expect {:.3g} "
                "to {:.3g} dB of stable gain.",
                plan.unserved_rings.empty() ? "" : " in reach",
                plan.won_db,
                expected.least_db,
                expected.most_db);
  text += fmt::format(" Level lost, mean of the third-octaves 125 Hz to 8 kHz: {:.1f} dB.",
                      plan.lost_db);
  text += report.is_from_loop ? fmt::format(" Net: {:.1f} dB.\n", plan.net_db()) : "\n";
  if (!plan.setting().cuts.empty()) {
    text += show::audible_words(plan.setting()) + "\n";
  }
  if (report.is_from_loop && !plan.next_rings.empty()) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < std::min<std::size_t>(plan.next_rings.size(), 3); ++i) {
      names.push_back(hz_text(plan.next_rings[i].frequency_hz));
    }
    text += fmt::format("After that it would ring first at {}.\n", join(names));
  }
  if (!report.is_from_loop) {
    text +=
        "Each move's figure is what is lost when it alone is taken back. The rest of the loop is "
        "not\nknown: make the moves one by one, raise the gain and listen after each.\n";
  }
  return text;
}

}  // namespace

ExpectedGain expected_gain(const PlanReport& report) noexcept {
  const ExpectedGain usual =
      report.rings.size() <= 1 ? ExpectedGain{0.0, 2.0} : ExpectedGain{1.0, 3.0};
  const double won_db = std::max(std::round(10.0 * report.plan.won_db) / 10.0, 0.0);
  return {std::min(usual.least_db, won_db), std::min(usual.most_db, won_db)};
}

std::string plan_text(const PlanReport& report) {
  std::string text;
  for (const std::string& warning : report.warnings) {
    text += "Note: " + warning + "\n";
  }
  text += head_text(report);
  const cuts::Plan& plan = report.plan;
  if (plan.moves.empty()) {
    text += "  Nothing to cut: no move of this target is worth the sound it takes.\n";
  }
  for (const cuts::Move& move : plan.moves) {
    text += move_text(report, move);
  }
  if (!plan.moves.empty()) {
    text += tail_text(report);
  }
  if (!plan.unserved_rings.empty()) {
    text +=
        fmt::format("\nOut of this plan's reach: {}. Move a microphone or a loudspeaker instead.\n",
                    ring_names(report, plan.unserved_rings));
  }
  return text;
}

}  // namespace brink::report
