#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>
#include <vector>

#include "base/units.h"
#include "ear/progress.h"
#include "sheet/column_chart.h"
#include "sheet/sheet.h"
#include "sheet/style.h"
#include "sheet/table.h"
#include "sheet/text.h"

namespace brink::sheet {
namespace {

/// With fewer guesses a band or a week says little.
constexpr int kFewGuesses = 4;

/// Third-octaves of base ten.
double to_bands(double error_cents) {
  return error_cents / (1200.0 * std::log2(std::pow(10.0, 0.1)));
}

double error_bands(const ear::GuessSummary& summary) {
  return to_bands(summary.median_error_cents);
}

std::string bands_text(double bands) {
  return fmt::format("{}\u00A0third-octaves", written_number(bands, 1));
}

std::string percent_text(double share) {
  return written_number(100.0 * share, 0) + "\u00A0%";
}

std::string name_of(const ear::BandSummary& sum) {
  return written_band(base::third_octave_centre_hz(sum.band));
}

std::string name_of(const ear::WeekSummary& sum) {
  return sum.week == "?" ? "not known" : sum.week;
}

/// "31.5", "2k": under a column.
std::string label_of(const ear::BandSummary& sum) {
  const std::string name = name_of(sum);
  const std::string number = name.substr(0, name.find("\u00A0"));
  return name.ends_with("kHz") ? number + "k" : number;
}

/// "W48"
std::string label_of(const ear::WeekSummary& sum) {
  return sum.week.size() > 5 ? sum.week.substr(5) : sum.week;
}

std::string counted_guesses(std::size_t count) {
  return count == 1 ? "1\u00A0guess" : fmt::format("{}\u00A0guesses", count);
}

std::string words(const std::string& plain) {
  return fmt::format("<p class=\"words\">{}</p>\n", markup_safe(plain));
}

int count_of(const ear::OctaveCounts& octaves, int slip) {
  const int place = slip + ear::OctaveCounts::kMost;
  return octaves.counts[static_cast<std::size_t>(place)];
}

int slip_count(const ear::OctaveCounts& octaves) {
  return std::accumulate(octaves.counts.begin(), octaves.counts.end(), 0) -
         octaves.counts[ear::OctaveCounts::kMost];
}

std::string plain_all(const ear::GuessSummary& all) {
  return fmt::format(
      "{} of {} were within a third-octave of what rang: {}. Half of all guesses were off by {} or "
      "less, and half were locked within {} s.",
      std::lround(all.hit_share * all.count),
      counted_guesses(static_cast<std::size_t>(all.count)),
      percent_text(all.hit_share),
      bands_text(error_bands(all)),
      written_number(all.median_took_s, 1));
}

std::string plain_bands(const std::vector<ear::BandSummary>& bands) {
  std::vector<const ear::BandSummary*> known;
  for (const ear::BandSummary& band : bands) {
    if (band.summary.count >= kFewGuesses) {
      known.push_back(&band);
    }
  }
  if (known.size() < 2) {
    return fmt::format("Fewer than two third-octaves have {} guesses or more: too few to compare.",
                       kFewGuesses);
  }
  const auto [best, worst] = std::minmax_element(
      known.begin(), known.end(), [](const ear::BandSummary* one, const ear::BandSummary* other) {
        return one->summary.median_error_cents < other->summary.median_error_cents;
      });
  return fmt::format(
      "Nearest at {}, median error {}; farthest at {}, {}. Third-octaves with fewer than {} "
      "guesses "
      "are not compared.",
      name_of(**best),
      bands_text(error_bands((*best)->summary)),
      name_of(**worst),
      bands_text(error_bands((*worst)->summary)),
      kFewGuesses);
}

std::string plain_weeks(const std::vector<ear::WeekSummary>& weeks) {
  if (weeks.size() == 1) {
    return fmt::format("All in one week: {}.", name_of(weeks.front()));
  }
  const ear::GuessSummary& was = weeks.front().summary;
  const ear::GuessSummary& is = weeks.back().summary;
  return fmt::format(
      "From week {} to {} the median error went from {} to {}, hits from {} to {}, the median time "
      "from {} to {} s.",
      name_of(weeks.front()),
      name_of(weeks.back()),
      written_number(error_bands(was), 1),
      bands_text(error_bands(is)),
      percent_text(was.hit_share),
      percent_text(is.hit_share),
      written_number(was.median_took_s, 1),
      written_number(is.median_took_s, 1));
}

template <typename Sum>
std::string sums_table(std::string_view caption, const char* first, const std::vector<Sum>& sums) {
  SheetTable table(
      caption, {{first}, {"Guesses"}, {"Error", false, true}, {"Hits"}, {"Time"}}, true);
  for (const Sum& sum : sums) {
    const ear::GuessSummary& summary = sum.summary;
    table.add({name_of(sum),
               fmt::format("{}", summary.count),
               written_number(error_bands(summary), 1),
               percent_text(summary.hit_share),
               fmt::format("{}\u00A0s", written_number(summary.median_took_s, 1))});
  }
  return std::move(table).finish();
}

template <typename Sum>
ColumnChart error_chart(const char* name,
                        const char* title,
                        const std::string& description,
                        const std::vector<Sum>& sums) {
  ColumnChart chart;
  chart.name = name;
  chart.title = title;
  chart.description = description;
  chart.unit = "third-octaves";
  chart.what = "median error";
  chart.limit = 1.0;
  chart.limit_words = "a hit lies within one third-octave";
  for (const Sum& sum : sums) {
    chart.columns.push_back({label_of(sum), error_bands(sum.summary)});
  }
  return chart;
}

std::string kept(const char* heading, const std::string& content) {
  return fmt::format("<div class=\"keep\"><h3>{}</h3>\n{}</div>\n", heading, content);
}

std::string band_part(const std::vector<ear::BandSummary>& bands) {
  const std::string plain = plain_bands(bands);
  return kept("By frequency",
              words(plain) + column_figure(error_chart(
                                 "bands", "Median error in each third-octave", plain, bands))) +
         sums_table(
             "Third-octaves in which something rang. Error: median, in third-octaves. Time: "
             "median.",
             "Band",
             bands);
}

std::string week_part(const std::vector<ear::WeekSummary>& weeks) {
  const std::string plain = plain_weeks(weeks);
  ColumnChart hits;
  hits.name = "hits";
  hits.title = "Hits in each week";
  hits.description = plain;
  hits.unit = "hits, %";
  hits.what = "guesses within a third-octave";
  hits.highest = 100.0;
  hits.decimals = 0;
  for (const ear::WeekSummary& week : weeks) {
    hits.columns.push_back({label_of(week), 100.0 * week.summary.hit_share});
  }
  return kept("By week",
              words(plain) +
                  column_figure(error_chart("weeks", "Median error in each week", plain, weeks)) +
                  column_figure(hits)) +
         sums_table(
             "Weeks of ISO 8601. Error: median, in third-octaves. Time: median.", "Week", weeks);
}

std::string slip_name(int octaves) {
  const int size = std::abs(octaves);
  const char* more = size == ear::OctaveCounts::kMost ? " or more" : "";
  return octaves == 0 ? std::string("right, within a third-octave")
                      : fmt::format("{} octave{}{} too {}",
                                    size,
                                    size == 1 ? "" : "s",
                                    more,
                                    octaves > 0 ? "high" : "low");
}

std::string plain_octaves(const ear::OctaveCounts& octaves) {
  std::vector<std::string> items;
  for (int slip = -ear::OctaveCounts::kMost; slip <= ear::OctaveCounts::kMost; ++slip) {
    const int count = count_of(octaves, slip);
    if (slip != 0 && count > 0) {
      items.push_back(fmt::format("{} by {}", count, slip_name(slip)));
    }
  }
  const auto slips = static_cast<std::size_t>(slip_count(octaves));
  return items.empty() ? "No octave slips."
                       : fmt::format("{}: {}.", counted(slips, "octave slip"), listed(items));
}

std::string octave_part(const ear::OctaveCounts& octaves) {
  ColumnChart chart;
  chart.name = "octaves";
  chart.title = "How many octaves guesses are off, right otherwise";
  chart.description = plain_octaves(octaves);
  chart.unit = "guesses";
  chart.what = "guesses, by octaves off; 0: right";
  chart.decimals = 0;
  SheetTable table("Guesses by whole octaves off", {{"Off by"}, {"Guesses"}}, true);
  for (int slip = -ear::OctaveCounts::kMost; slip <= ear::OctaveCounts::kMost; ++slip) {
    const int count = count_of(octaves, slip);
    const std::string sign = slip < 0 ? "\u2212" : (slip > 0 ? "+" : "");
    chart.columns.push_back({sign + fmt::format("{}", std::abs(slip)), static_cast<double>(count)});
    table.add({slip_name(slip), fmt::format("{}", count)});
  }
  chart.columns.push_back({"else", static_cast<double>(octaves.none)});
  table.add({"something else", fmt::format("{}", octaves.none)});
  return kept("Octave slips", words(plain_octaves(octaves)) + column_figure(chart)) +
         std::move(table).finish();
}

std::string big_figures(const ear::GuessSummary& all, int slips) {
  const auto entry = [](const char* name, const std::string& value, const char* kind) {
    return fmt::format("<div{}><dt>{}</dt><dd>{}</dd></div>", kind, name, value);
  };
  return "<dl class=\"big\">" +
         entry("Within a third-octave", percent_text(all.hit_share), " class=\"first\"") +
         entry("Error, third-octaves", written_number(error_bands(all), 1), "") +
         entry("Median time", fmt::format("{}\u00A0s", written_number(all.median_took_s, 1)), "") +
         entry("Octave slips", fmt::format("{}", slips), "") + "</dl>\n";
}

/// The guesses whose numbers are usable.
std::vector<show::GuessRecord> sound_guesses(std::span<const show::GuessRecord> guesses,
                                             std::string_view trainee,
                                             std::size_t& left_out) {
  const auto is_positive = [](double value) { return std::isfinite(value) && value > 0.0; };
  std::vector<show::GuessRecord> sound;
  for (const show::GuessRecord& guess : guesses) {
    if (guess.trainee != trainee) {
      continue;
    }
    if (is_positive(guess.true_hz) && is_positive(guess.guessed_hz) &&
        std::isfinite(guess.took_s)) {
      sound.push_back(guess);
    } else {
      ++left_out;
    }
  }
  return sound;
}

}  // namespace

std::string ear_sheet_html(std::span<const show::GuessRecord> guesses, std::string_view trainee) {
  std::size_t left_out = 0;
  const auto progress = ear::progress_of(sound_guesses(guesses, trainee, left_out), trainee);
  std::string body = fmt::format(
      "<header>\n<p class=\"over\">Sheet of a trainee's "
      "ear</p>\n<h1>{}</h1>\n</header>\n<section>\n",
      trainee.empty() ? "Trainee without a name" : typed(trainee));
  if (progress.all.count == 0) {
    body += words("No guess is kept of this trainee.");
  } else {
    body +=
        big_figures(progress.all, slip_count(progress.octaves)) + words(plain_all(progress.all));
  }
  if (left_out > 0) {
    body +=
        words(fmt::format("{} without a frequency or a time left out.", counted_guesses(left_out)));
  }
  if (progress.all.count > 0) {
    body += week_part(progress.weeks) + band_part(progress.bands) + octave_part(progress.octaves);
  }
  body +=
      "</section>\n<p class=\"care\"><strong>Take care.</strong> Listen at a level at which one "
      "can "
      "talk without raising the voice, and rest the ears: 85\u00A0dBA for 8\u00A0hours is the "
      "limit "
      "of NIOSH's guide (3\u00A0dB exchange). Local rules and qualified people come first.</p>\n"
      "<footer>Errors are never finer than hearing. An octave slip is a guess an octave or more "
      "off "
      "and within half a third-octave of right otherwise; a wild guess looks like one about one "
      "time "
      "in three. Written by brink.</footer>\n";
  return sheet_page(fmt::format("{}, ear", trainee), body);
}

}  // namespace brink::sheet
