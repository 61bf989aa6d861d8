#include "report/analysis/analysis_svg.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <iterator>
#include <utility>
#include <vector>

#include "base/octaves.h"
#include "base/printable.h"
#include "base/units.h"
#include "cuts/band.h"
#include "io/paths.h"
#include "listen/danger.h"
#include "report/xml_text.h"
#include "show/cut_words.h"

namespace brink::report {
namespace {

// Colours that people with any colour vision tell apart (M. Okabe, K. Ito, Color Universal Design,
// 2008): orange and vermilion, as in the window.
constexpr const char* kGrowsColour = "#E69F00";
constexpr const char* kRingsColour = "#D55E00";

constexpr double kWidth = 1200.0;
constexpr double kLeft = 70.0;
constexpr double kRight = 1170.0;
constexpr double kTop = 72.0;
constexpr double kOnlyStrip = 480.0;  // height of one channel by itself
constexpr double kAllStrips = 640.0;  // of several together, but
constexpr double kLeastStrip = 60.0;  // none lower than this
constexpr double kGap = 8.0;
constexpr double kRowHeight = 22.0;
constexpr double kLowestHz = 40.0;
constexpr double kHighestHz = 20000.0;
constexpr std::size_t kMostNamed = 20;

class Map {
 public:
  explicit Map(const listen::Analysis& analysis)
      : analysis_(analysis), rows_(listen::to_rows(analysis.rings, listen::RowOrder::kDanger)) {
    const auto count = static_cast<double>(std::max<std::size_t>(analysis.analysed.size(), 1));
    strip_ = count == 1.0 ? kOnlyStrip : std::max(kLeastStrip, kAllStrips / count - kGap);
    bottom_ = kTop + count * (strip_ + kGap) - kGap;
  }

  std::string draw() {
    const std::size_t named = std::min(rows_.size(), kMostNamed);
    const double height =
        bottom_ + 76.0 + kRowHeight * static_cast<double>(named + (named < rows_.size() ? 1 : 0));
    add("{2}\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
        "viewBox=\"0 0 {0:.0f} {1:.0f}\" font-family=\"sans-serif\" font-size=\"14\" "
        "fill=\"#222222\">\n<rect width=\"{0:.0f}\" height=\"{1:.0f}\" fill=\"#ffffff\"/>\n",
        kWidth,
        height,
        kAnalysisSvgBeginning);
    draw_title();
    for (std::size_t index = 0; index < analysis_.analysed.size(); ++index) {
      draw_strip(index);
    }
    draw_times();
    draw_folded();
    for (std::size_t row = rows_.size(); row-- > 0;) {  // the most dangerous lies uppermost
      draw_row(row);
    }
    draw_names(named);
    svg_ += "</svg>\n";
    return std::move(svg_);
  }

 private:
  template <typename... Values>
  void add(fmt::format_string<Values...> form, Values&&... values) {
    fmt::format_to(std::back_inserter(svg_), form, std::forward<Values>(values)...);
  }

  [[nodiscard]] double x_of(std::int64_t sample) const {
    const double whole = std::max(static_cast<double>(analysis_.samples), 1.0);
    return kLeft + std::clamp(static_cast<double>(sample) / whole, 0.0, 1.0) * (kRight - kLeft);
  }

  [[nodiscard]] double top_of(int channel) const {
    const auto& all = analysis_.analysed;
    const auto found = std::find_if(
        all.begin(), all.end(), [&](const auto& one) { return one.channel == channel; });
    return kTop + static_cast<double>(found - all.begin()) * (strip_ + kGap);
  }

  [[nodiscard]] double y_of(double frequency_hz, int channel) const {
    const double share = std::log(std::clamp(frequency_hz, kLowestHz, kHighestHz) / kLowestHz) /
                         std::log(kHighestHz / kLowestHz);
    return top_of(channel) + (1.0 - share) * strip_;
  }

  void draw_title() {
    const std::string name = io::to_path(analysis_.file).filename().string();
    add("<text x=\"{:.0f}\" y=\"30\" font-size=\"18\" font-weight=\"bold\">{}</text>\n",
        kLeft,
        xml_escaped(base::printable(name)));
    add("<text x=\"{:.0f}\" y=\"52\">{:.1f} s, {} channel{}, {} ring{} at {} place{}</text>\n",
        kLeft,
        analysis_.duration_s(),
        analysis_.channels,
        analysis_.channels == 1 ? "" : "s",
        analysis_.rings.size(),
        analysis_.rings.size() == 1 ? "" : "s",
        rows_.size(),
        rows_.size() == 1 ? "" : "s");
  }

  void draw_strip(std::size_t index) {
    const int channel = analysis_.analysed[index].channel;
    const double top = top_of(channel);
    add("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#f4f4f4\"/>\n",
        kLeft,
        top,
        kRight - kLeft,
        strip_);
    if (analysis_.analysed.size() > 1) {
      add("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n",
          kLeft - 8.0,
          top + 0.5 * strip_ + 5.0,
          channel);
      return;
    }
    for (const auto& [centre_hz, words] : base::kOctaves) {
      const double y = y_of(centre_hz, channel);
      add("<line x1=\"{:.1f}\" x2=\"{:.1f}\" y1=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"#dddddd\"/>\n",
          kLeft,
          kRight,
          y,
          y);
      add("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n",
          kLeft - 8.0,
          y + 5.0,
          words);
    }
  }

  /// At whole seconds, minutes or hours, at most ten of them.
  void draw_times() {
    static constexpr std::array<double, 15> kSteps{
        0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 60, 120, 300, 600, 1800, 3600, 7200};
    const double whole_s = analysis_.duration_s();
    const auto* const step = std::find_if(
        kSteps.begin(), kSteps.end(), [&](double step_s) { return whole_s / step_s <= 10.0; });
    const double step_s = step == kSteps.end() ? kSteps.back() : *step;
    for (int i = 0; i * step_s <= whole_s; ++i) {
      const double at_s = i * step_s;
      const double x = x_of(std::llround(at_s * analysis_.sample_rate_hz));
      add("<line x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:.1f}\" y2=\"{2:.1f}\" "
          "stroke=\"#888888\"/>\n",
          x,
          bottom_,
          bottom_ + 5.0);
      add("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{}</text>\n",
          x,
          bottom_ + 21.0,
          at_s < 60.0
              ? fmt::format("{:g} s", at_s)
              : fmt::format("{}:{:02}", static_cast<int>(at_s) / 60, static_cast<int>(at_s) % 60));
    }
  }

  void draw_folded() {
    for (const listen::PlaceRow& row : rows_) {
      for (const listen::FoldedPlace& folded : row.folded) {
        for (const std::size_t i : folded.place.rings) {
          const listen::FoundRing& found = analysis_.rings[i];
          add("<line class=\"folded\" x1=\"{:.1f}\" x2=\"{:.1f}\" y1=\"{:.1f}\" y2=\"{:.1f}\" "
              "stroke=\"{}\" stroke-opacity=\"0.7\"/>\n",
              x_of(found.ring.onset_sample),
              std::max(end_x(found), x_of(found.ring.onset_sample) + 1.0),
              y_of(found.ring.frequency_hz, found.channel),
              y_of(found.ring.frequency_hz, found.channel),
              kGrowsColour);
        }
      }
    }
  }

  [[nodiscard]] double end_x(const listen::FoundRing& found) const {
    return x_of(found.ring.ended_sample == detector::kNever ? analysis_.samples
                                                            : found.ring.ended_sample);
  }

  void draw_row(std::size_t row) {
    for (const std::size_t i : rows_[row].place.rings) {
      draw_ring(analysis_.rings[i]);
    }
    const listen::FoundRing& loudest = analysis_.rings[rows_[row].place.loudest];
    if (row < kMostNamed) {
      const double x = std::min(end_x(loudest) + 10.0, kRight - 22.0);
      add("<text x=\"{:.1f}\" y=\"{:.1f}\" font-weight=\"bold\" stroke=\"#ffffff\" "
          "stroke-width=\"3\" paint-order=\"stroke\">{}</text>\n",
          x,
          y_of(loudest.ring.frequency_hz, loudest.channel) + 5.0,
          row + 1);
    }
  }

  void draw_ring(const listen::FoundRing& found) {
    const detector::Ring& ring = found.ring;
    const double y = y_of(ring.frequency_hz, found.channel);
    const double onset = x_of(ring.onset_sample);
    const double flagged = x_of(ring.flagged_sample);
    const double end = std::max(end_x(found), flagged + 2.0);
    add("<line x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:.1f}\" y2=\"{2:.1f}\" stroke=\"{3}\" "
        "stroke-width=\"3\"/>\n",
        onset,
        flagged,
        y,
        kGrowsColour);
    add("<line class=\"ring\" x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:.1f}\" y2=\"{2:.1f}\" "
        "stroke=\"{3}\" stroke-width=\"3\"/>\n",
        flagged,
        end,
        y,
        kRingsColour);
    add("<path d=\"M{:.1f} {:.1f}l-5 9h10z\" fill=\"{}\"/>\n", onset, y - 6.0, kGrowsColour);
    add("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\" fill=\"{}\"/>\n", flagged, y, kRingsColour);
    if (ring.ended_sample != detector::kNever) {
      add("<path d=\"M{:.1f} {:.1f}l8 8m0 -8l-8 8\" stroke=\"#555555\" stroke-width=\"1.5\"/>\n",
          end - 4.0,
          y - 4.0);
    }
  }

  void draw_names(std::size_t named) {
    double y = bottom_ + 58.0;
    for (std::size_t row = 0; row < named; ++row, y += kRowHeight) {
      const listen::FoundRing& loudest = analysis_.rings[rows_[row].place.loudest];
      const std::size_t times = rows_[row].place.rings.size();
      const std::string channel =
          analysis_.channels > 1 ? fmt::format("channel {}, ", loudest.channel) : std::string();
      add("<text x=\"{:.1f}\" y=\"{:.1f}\"><tspan font-weight=\"bold\">{}  {}</tspan>  {}{}{:.1f} "
          "dBFS, growth {:+.0f} dB/s; cut {}</text>\n",
          kLeft,
          y,
          row + 1,
          xml_escaped(base::frequency_label(loudest.ring.frequency_hz)),
          channel,
          times == 1 ? std::string() : fmt::format("{} times, ", times),
          loudest.ring.peak_dbfs,
          loudest.ring.growth_db_per_s,
          show::cut_words(cuts::to_band(loudest.cut), cuts::Target::Kind::kParametric));
    }
    if (named < rows_.size()) {
      add("<text x=\"{:.1f}\" y=\"{:.1f}\">and {} more places</text>\n",
          kLeft,
          y,
          rows_.size() - named);
    }
  }

  const listen::Analysis& analysis_;
  std::vector<listen::PlaceRow> rows_;
  double strip_ = kOnlyStrip;
  double bottom_ = 0.0;
  std::string svg_;
};

}  // namespace

std::string report_svg(const listen::Analysis& analysis) {
  return Map(analysis).draw();
}

}  // namespace brink::report
