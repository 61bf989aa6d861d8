#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <iterator>

#include "base/printable.h"
#include "base/units.h"
#include "report/plan_report.h"
#include "report/xml_text.h"

namespace brink::report {
namespace {

// Colours that people with any colour vision tell apart (M. Okabe, K. Ito, Color Universal Design,
// 2008): blue, vermilion, reddish purple.
constexpr const char* kResponseColour = "#0072B2";
constexpr const char* kRingColour = "#D55E00";
constexpr const char* kNextColour = "#CC79A7";

constexpr double kWidth = 960.0;
constexpr double kHeight = 484.0;
constexpr double kLeft = 74.0;
constexpr double kRight = 930.0;
constexpr double kTop = 66.0;
constexpr double kBottom = 400.0;
constexpr double kLowestHz = 40.0;
constexpr double kHighestHz = 20000.0;

double x_of(double frequency_hz) {
  const double share = std::log(std::clamp(frequency_hz, kLowestHz, kHighestHz) / kLowestHz) /
                       std::log(kHighestHz / kLowestHz);
  return kLeft + share * (kRight - kLeft);
}

class Picture {
 public:
  explicit Picture(const PlanReport& report) : report_(report), setting_(report.plan.setting()) {
    // Room for the deepest place, in whole grid lines of 3 dB.
    double deepest_db = -9.0;
    for (const double f_hz : frequencies()) {
      deepest_db = std::min(deepest_db, level_db(f_hz));
    }
    lowest_db_ = std::max(3.0 * std::floor(deepest_db / 3.0 - 0.34), -36.0);
  }

  std::string draw() {
    fmt::format_to(
        std::back_inserter(svg_),
        "{2}\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
        "viewBox=\"0 0 {0:.0f} {1:.0f}\" font-family=\"sans-serif\" font-size=\"14\" "
        "fill=\"#222222\">\n<rect width=\"{0:.0f}\" height=\"{1:.0f}\" fill=\"#ffffff\"/>\n",
        kWidth,
        kHeight,
        kPlanSvgBeginning);
    title();
    grid();
    next_rings();
    rings();
    response();
    legend();
    svg_ += "</svg>\n";
    return std::move(svg_);
  }

 private:
  template <typename... Values>
  void add(fmt::format_string<Values...> form, Values&&... values) {
    fmt::format_to(std::back_inserter(svg_), form, std::forward<Values>(values)...);
  }

  [[nodiscard]] double level_db(double frequency_hz) const {
    if (frequency_hz >= 0.5 * report_.sample_rate_hz) {
      return 0.0;
    }
    return base::amplitude_to_db(
        std::abs(cuts::response(setting_, frequency_hz, report_.sample_rate_hz)));
  }

  [[nodiscard]] double y_of(double level_db) const {
    const double share =
        (kHighestDb - std::clamp(level_db, lowest_db_, kHighestDb)) / (kHighestDb - lowest_db_);
    return kTop + share * (kBottom - kTop);
  }

  /// Even steps on the axis, and every cut's own centre, so that no peak is lost between.
  [[nodiscard]] std::vector<double> frequencies() const {
    constexpr int kSteps = 800;
    std::vector<double> list;
    for (int step = 0; step <= kSteps; ++step) {
      list.push_back(kLowestHz *
                     std::pow(kHighestHz / kLowestHz, static_cast<double>(step) / kSteps));
    }
    for (const cuts::Cut& cut : setting_.cuts) {
      list.push_back(std::clamp(cut.centre_hz, kLowestHz, kHighestHz));
    }
    std::sort(list.begin(), list.end());
    return list;
  }

  void title() {
    add("<text x=\"{:.0f}\" y=\"30\" font-size=\"18\" font-weight=\"bold\">{}</text>\n",
        kLeft,
        xml_escaped(fmt::format("Plan for {}", base::printable(report_.target.name))));
    add("<text x=\"{:.0f}\" y=\"52\">stable gain won {:.1f} dB, level lost {:.1f} dB, net {:.1f} "
        "dB</text>\n",
        kLeft,
        report_.plan.won_db,
        report_.plan.lost_db,
        report_.plan.net_db());
  }

  void grid() {
    for (const double f_hz : {50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 1e4, 2e4}) {
      add("<line x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:.1f}\" y2=\"{2:.1f}\" "
          "stroke=\"#dddddd\"/>\n",
          x_of(f_hz),
          kTop,
          kBottom);
      add("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{}</text>\n",
          x_of(f_hz),
          kBottom + 20.0,
          f_hz < 1000.0 ? fmt::format("{:.0f}", f_hz) : fmt::format("{:.0f} k", f_hz / 1000.0));
    }
    const auto lines = static_cast<int>((kHighestDb - lowest_db_ + 0.1) / 3.0);
    for (int line = 0; line <= lines; ++line) {
      const double level_db = kHighestDb - 3.0 * line;
      add("<line x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:.1f}\" y2=\"{2:.1f}\" stroke=\"{3}\"/>\n",
          kLeft,
          kRight,
          y_of(level_db),
          level_db == 0.0 ? "#888888" : "#dddddd");
      add("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{:.0f}</text>\n",
          kLeft - 8.0,
          y_of(level_db) + 5.0,
          level_db);
    }
    add("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">frequency, Hz</text>\n",
        0.5 * (kLeft + kRight),
        kBottom + 42.0);
    add("<text transform=\"translate(24 {:.1f}) rotate(-90)\" text-anchor=\"middle\">level, "
        "dB</text>\n",
        0.5 * (kTop + kBottom));
  }

  /// A triangle that points at the frequency, and a dashed line down.
  void rings() {
    for (const auto& ring : report_.rings) {
      const double x = x_of(ring.frequency_hz);
      add("<line x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:.1f}\" y2=\"{2:.1f}\" stroke=\"{3}\" "
          "stroke-dasharray=\"5 4\"/>\n",
          x,
          kTop,
          kBottom,
          kRingColour);
      add("<path d=\"M{:.1f} {:.1f}l-7 -11h14z\" fill=\"{}\"/>\n", x, kTop + 9.0, kRingColour);
    }
  }

  /// A diamond at the frequency, on the response.
  void next_rings() {
    for (std::size_t i = 0; i < std::min<std::size_t>(report_.plan.next_rings.size(), 3); ++i) {
      const double f_hz = report_.plan.next_rings[i].frequency_hz;
      add("<path d=\"M{:.1f} {:.1f}l7 7l-7 7l-7 -7z\" fill=\"{}\"/>\n",
          x_of(f_hz),
          y_of(level_db(f_hz)) - 18.0,
          kNextColour);
    }
  }

  void response() {
    add("<polyline fill=\"none\" stroke=\"{}\" stroke-width=\"2.5\" stroke-linejoin=\"round\" "
        "points=\"",
        kResponseColour);
    for (const double f_hz : frequencies()) {
      add("{:.1f},{:.1f} ", x_of(f_hz), y_of(level_db(f_hz)));
    }
    svg_ += "\"/>\n";
    for (const cuts::Cut& cut : setting_.cuts) {
      add("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\" fill=\"#ffffff\" stroke=\"{}\" "
          "stroke-width=\"2\"/>\n",
          x_of(cut.centre_hz),
          y_of(level_db(cut.centre_hz)),
          kResponseColour);
    }
  }

  void legend() {
    double x = kLeft;
    const double y = kHeight - 10.0;
    const auto entry = [&](const std::string& mark, const char* words, double width) {
      add("<g transform=\"translate({:.0f} {:.0f})\">{}</g>\n", x, y - 5.0, mark);
      add("<text x=\"{:.0f}\" y=\"{:.0f}\">{}</text>\n", x + 26.0, y, words);
      x += width;
    };
    entry(fmt::format("<path d=\"M0 0h18\" stroke=\"{0}\" stroke-width=\"2.5\"/><circle cx=\"9\" "
                      "r=\"4\" fill=\"#ffffff\" stroke=\"{0}\" stroke-width=\"2\"/>",
                      kResponseColour),
          "equaliser and its cuts",
          210.0);
    if (!report_.rings.empty()) {
      entry(fmt::format(R"(<path d="M9 6l-7 -11h14z" fill="{}"/>)", kRingColour), "rings", 90.0);
    }
    if (!report_.plan.next_rings.empty()) {
      entry(fmt::format(R"(<path d="M9 -7l7 7l-7 7l-7 -7z" fill="{}"/>)", kNextColour),
            "what would ring next",
            200.0);
    }
  }

  static constexpr double kHighestDb = 3.0;

  const PlanReport& report_;
  cuts::Setting setting_;
  double lowest_db_ = -12.0;
  std::string svg_;
};

}  // namespace

std::string plan_svg(const PlanReport& report) {
  return Picture(report).draw();
}

}  // namespace brink::report
