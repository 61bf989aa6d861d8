#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "report/stage_report.h"

namespace brink::report {
namespace {

std::string place(double frequency_hz) {
  return fmt::format("{:8.1f} Hz  {:9s}", frequency_hz, base::note_name(frequency_hz));
}

std::string ring_text(const loop::RingLabel& ring) {
  std::string text = fmt::format(
      "  {}  unstable from {:.2f} s, heard from {:.2f} s, {:.1f} dB over the brink, grows by "
      "{:.0f} "
      "dB a second, up to {:.1f} dBFS",
      place(ring.pole_hz),
      ring.unstable_s,
      ring.dominant_s,
      ring.excess_db,
      ring.growth_db_per_s,
      ring.peak_dbfs);
  if (ring.stable_again_s != loop::kNeverS) {
    text += fmt::format(", stable again at {:.2f} s", ring.stable_again_s);
  }
  return text + "\n";
}

std::string near_text(const loop::NearBrink& near) {
  std::string text =
      fmt::format("  {}  {:+5.2f} dB", place(near.highest.frequency_hz), near.highest.gain_db);
  if (near.unstable_s != loop::kNeverS) {
    text += fmt::format("  unstable from {:.2f} s", near.unstable_s);
  }
  if (near.pole) {
    text += fmt::format("  {:+.1f} dB a second", near.pole->growth_db_per_s);
  }
  return text + "\n";
}

// All of them are in the JSON; a screen takes the highest.
constexpr std::size_t kShown = 12;

std::string near_list(std::vector<loop::NearBrink> near) {
  std::sort(near.begin(), near.end(), [](const auto& a, const auto& b) {
    return a.highest.gain_db > b.highest.gain_db;
  });
  std::string text =
      fmt::format("{} {} within 3 dB of the brink{}:\n",
                  near.size(),
                  near.size() == 1 ? "frequency came" : "frequencies came",
                  near.size() > kShown ? fmt::format("; the {} nearest, at their highest", kShown)
                                       : std::string{", at their highest"});
  near.resize(std::min(near.size(), kShown));
  for (const loop::NearBrink& one : near) {
    text += near_text(one);
  }
  return text;
}

std::string ring_list(const std::vector<loop::RingLabel>& rings) {
  std::string text;
  for (const loop::RingLabel& ring : rings) {
    text += fmt::format(
        "{}{:.1f} Hz at {:.1f} s", text.empty() ? "" : "; ", ring.pole_hz, ring.dominant_s);
  }
  return text.empty() ? "none" : text;
}

}  // namespace

std::string stage_text(const StageReport& report) {
  const loop::LoopTruth& truth = report.render.truth;
  std::string text;
  if (!report.clip.empty()) {
    text += report.clip + "\n";
  }
  const std::optional<double>& brink_db = report.scene.max_stable_gain_db;
  text += fmt::format(
      "{:.1f} s at {:g} kHz; {}\n",
      static_cast<double>(report.render.samples.size()) / report.scene.stage.sample_rate_hz,
      report.scene.stage.sample_rate_hz / 1000.0,
      brink_db ? fmt::format("maximum stable gain {:.1f} dB", *brink_db) : std::string{"no loop"});
  for (std::size_t at = 1; at < truth.stable_gain.size(); ++at) {
    text += fmt::format("  from {:.2f} s it is {:+.1f} dB of that\n",
                        truth.stable_gain[at].from_s,
                        truth.stable_gain[at].gain_db);
  }
  text += report.render.rings.empty() ? "No ring to be heard.\n" : "Rings to be heard:\n";
  for (const loop::RingLabel& ring : report.render.rings) {
    text += ring_text(ring);
  }
  if (!truth.near_brink.empty()) {
    text += near_list(truth.near_brink);
  }
  return text;
}

namespace {

// The largest first; what is under a twentieth is left out.
std::string shares_text(const loop::Shares& shares) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < shares.microphone.size(); ++i) {
    if (std::abs(shares.microphone[i]) >= 0.05) {
      order.push_back(i);
    }
  }
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return shares.microphone[a] > shares.microphone[b];
  });
  std::string text;
  for (const std::size_t i : order) {
    text += fmt::format(
        "{}microphone {} {:.0f} %", text.empty() ? "" : ", ", i + 1, 100.0 * shares.microphone[i]);
  }
  return "      share: " + text + "\n";
}

}  // namespace

std::string stage_text(const MatrixStageReport& report) {
  std::string text;
  if (!report.clip.empty()) {
    text += report.clip + "\n";
  }
  const std::optional<double>& brink_db = report.scene.max_stable_gain_db;
  text += fmt::format(
      "{} microphones, {} outputs; {:.1f} s at {:g} kHz; {}\n",
      report.scene.microphones.size(),
      report.scene.loudspeakers.size(),
      report.scene.length_s,
      report.scene.stage.sample_rate_hz / 1000.0,
      brink_db ? fmt::format("maximum stable gain {:.1f} dB", *brink_db) : std::string{"no loop"});
  const std::vector<MatrixRing> rings = matrix_rings(report);
  text += rings.empty() ? "No ring to be heard.\n" : "Rings to be heard:\n";
  for (const MatrixRing& ring : rings) {
    text += ring_text(ring.label) + shares_text(ring.near->shares);
  }
  std::vector<loop::NearBrink> near = report.render.truth.loop().near_brink;
  if (!near.empty()) {
    text += near_list(std::move(near));
  }
  return text;
}

std::string stage_manifest(const std::vector<StageReport>& reports) {
  std::string text = "| clip | what | story | rings: pole, heard from |\n|---|---|---|---|\n";
  for (const StageReport& report : reports) {
    text += fmt::format("| {} | {} | {} | {} |\n",
                        report.clip,
                        report.kind,
                        report.about,
                        ring_list(report.render.rings));
  }
  return text;
}

}  // namespace brink::report
