#include <fmt/format.h>

#include <algorithm>

#include "app/ear_sheet_chart.h"
#include "app/ear_sheet_facts.h"
#include "app/sheet.h"
#include "app/sheet_style.h"
#include "app/sheet_table.h"
#include "app/sheet_text.h"
#include "core/units.h"

namespace brink::app {
namespace {

/// Fewer guesses say little about a band or a week.
constexpr std::size_t kFewGuesses = 4;

std::string bands_text(double bands) {
  return fmt::format("{}\u00A0third-octaves", written_number(bands, 1));
}

std::string percent_text(double percent) {
  return written_number(percent, 0) + "\u00A0%";
}

std::string band_name(int band) {
  return written_band(core::third_octave_centre_hz(band));
}

/// "31.5", "2k": under a column.
std::string band_label(int band) {
  const std::string name = band_name(band);
  const std::string number = name.substr(0, name.find("\u00A0"));
  return name.ends_with("kHz") ? number + "k" : number;
}

/// "9 Mar"
std::string week_label(const std::string& monday) {
  const std::string day = day_of(monday);
  const auto blank = day.find(' ');
  return day.substr(0, blank + 4);
}

std::string words(const std::string& plain) {
  return fmt::format("<p class=\"words\">{}</p>\n", markup_safe(plain));
}

std::string plain_all(const GuessSum& all) {
  const std::size_t slips = all.slips_up + all.slips_down;
  return fmt::format(
      "{} of {} were within a third-octave of what rang: {}. Half of all guesses were off by {} or "
      "less, and half were locked within {} s. {}: {} too high, {} too low, otherwise right.",
      all.hits,
      all.count == 1 ? "1\u00A0guess" : fmt::format("{}\u00A0guesses", all.count),
      percent_text(all.hit_percent()),
      bands_text(all.median_bands),
      written_number(all.median_took_s, 1),
      counted(slips, "octave slip"),
      all.slips_up,
      all.slips_down);
}

template <typename Name>
std::string plain_extremes(const auto& sums, const Name& name) {
  const auto better = [](const auto& one, const auto& other) {
    const bool has_few = one.second.count < kFewGuesses;
    const bool other_few = other.second.count < kFewGuesses;
    return has_few != other_few ? other_few : one.second.median_bands < other.second.median_bands;
  };
  const auto best = std::min_element(sums.begin(), sums.end(), better);
  auto worst = best;
  for (auto sum = sums.begin(); sum != sums.end(); ++sum) {
    if (sum->second.count >= kFewGuesses && sum->second.median_bands > worst->second.median_bands) {
      worst = sum;
    }
  }
  std::string text = fmt::format(
      "Nearest at {}, median error {}", name(best->first), bands_text(best->second.median_bands));
  if (worst != best) {
    text += fmt::format(
        "; farthest at {}, {}", name(worst->first), bands_text(worst->second.median_bands));
  }
  return fmt::format(
      "{}. What had fewer than {} guesses is left out of this comparison.", text, kFewGuesses);
}

std::string plain_weeks(const std::map<std::string, GuessSum>& by_week) {
  const auto& [first, was] = *by_week.begin();
  const auto& [last, is] = *by_week.rbegin();
  if (by_week.size() == 1) {
    return fmt::format("All in the week of {}.", day_of(first));
  }
  return fmt::format(
      "From the week of {} to that of {} the median error went from {} to {}, hits from {} to {}, "
      "the median time from {} to {} s.",
      day_of(first),
      day_of(last),
      written_number(was.median_bands, 1),
      bands_text(is.median_bands),
      percent_text(was.hit_percent()),
      percent_text(is.hit_percent()),
      written_number(was.median_took_s, 1),
      written_number(is.median_took_s, 1));
}

template <typename Name>
std::string sums_table(std::string_view caption,
                       const std::string& first,
                       const auto& sums,
                       const Name& name) {
  SheetTable table(
      caption, {{first}, {"Guesses"}, {"Error", false, true}, {"Hits"}, {"Time"}, {"Slips"}}, true);
  for (const auto& [key, sum] : sums) {
    table.add({name(key),
               fmt::format("{}", sum.count),
               number_element(sum.median_bands, written_number(sum.median_bands, 1)),
               percent_text(sum.hit_percent()),
               fmt::format("{}\u00A0s", written_number(sum.median_took_s, 1)),
               fmt::format("{}", sum.slips_up + sum.slips_down)});
  }
  return std::move(table).finish();
}

template <typename Label>
ColumnChart error_chart(const char* name,
                        const char* title,
                        const std::string& description,
                        const auto& sums,
                        const Label& label) {
  ColumnChart chart;
  chart.name = name;
  chart.title = title;
  chart.description = description;
  chart.unit = "third-octaves";
  chart.what = "median error";
  chart.limit = 1.0;
  chart.limit_words = "a hit lies within one third-octave";
  for (const auto& [key, sum] : sums) {
    chart.columns.push_back({label(key), sum.median_bands});
  }
  return chart;
}

std::string kept(const char* heading, const std::string& content) {
  return fmt::format("<div class=\"keep\"><h3>{}</h3>\n{}</div>\n", heading, content);
}

std::string band_part(const EarSheetFacts& facts) {
  const std::string plain = plain_extremes(facts.by_band, band_name);
  return kept("By frequency",
              words(plain) + column_figure(error_chart("bands",
                                                       "Median error in each third-octave",
                                                       plain,
                                                       facts.by_band,
                                                       band_label))) +
         sums_table(
             "Third-octaves in which something rang. Error: median, in third-octaves. Time: "
             "median. Slips: by octaves",
             "Band",
             facts.by_band,
             band_name);
}

std::string week_part(const EarSheetFacts& facts) {
  if (facts.by_week.empty()) {
    return "";
  }
  const std::string plain = plain_weeks(facts.by_week);
  ColumnChart hits;
  hits.name = "hits";
  hits.title = "Hits in each week";
  hits.description = plain;
  hits.unit = "hits, %";
  hits.what = "guesses within a third-octave";
  hits.highest = 100.0;
  hits.decimals = 0;
  for (const auto& [week, sum] : facts.by_week) {
    hits.columns.push_back({week_label(week), sum.hit_percent()});
  }
  return kept("By week",
              words(plain) +
                  column_figure(error_chart(
                      "weeks", "Median error in each week", plain, facts.by_week, week_label)) +
                  column_figure(hits)) +
         sums_table(
             "Weeks, from Monday. Error: median, in third-octaves. Time: median. Slips: by octaves",
             "Week of",
             facts.by_week,
             [](const std::string& monday) {
               return fmt::format(
                   "<span class=\"n\">{}</span>",
                   time_element(monday, week_label(monday) + " " + monday.substr(0, 4)));
             });
}

std::string big_figures(const GuessSum& all) {
  const auto entry = [](const char* name, const std::string& value, const char* kind) {
    return fmt::format("<div{}><dt>{}</dt><dd>{}</dd></div>", kind, name, value);
  };
  return "<dl class=\"big\">" +
         entry("Within a third-octave", percent_text(all.hit_percent()), " class=\"first\"") +
         entry("Median error, third-octaves", written_number(all.median_bands, 1), "") +
         entry("Median time", fmt::format("{}\u00A0s", written_number(all.median_took_s, 1)), "") +
         entry("Octave slips", fmt::format("{}", all.slips_up + all.slips_down), "") + "</dl>\n";
}

}  // namespace

std::string ear_sheet_html(std::span<const io::GuessRecord> guesses, std::string_view trainee) {
  const EarSheetFacts facts = ear_sheet_facts(guesses, trainee);
  std::string body = fmt::format(
      "<header>\n<p class=\"over\">Sheet of a trainee's "
      "ear</p>\n<h1>{}</h1>\n</header>\n<section>\n",
      trainee.empty() ? "Trainee without a name" : typed(trainee));
  if (facts.all.count == 0) {
    body += words("No guess is kept of this trainee.");
  } else {
    body += big_figures(facts.all) + words(plain_all(facts.all));
  }
  if (facts.left_out > 0) {
    body += words(fmt::format(
        "{} without a frequency left out.",
        facts.left_out == 1 ? "1\u00A0guess" : fmt::format("{}\u00A0guesses", facts.left_out)));
  }
  if (facts.all.count > 0) {
    body += band_part(facts) + week_part(facts);
  }
  body +=
      "</section>\n<p class=\"care\"><strong>Take care.</strong> Listen at a level at which one "
      "can "
      "talk without raising the voice, and rest the ears: 85\u00A0dBA for 8\u00A0hours is the "
      "limit "
      "of NIOSH's guide (3\u00A0dB exchange). Local rules and qualified people come first.</p>\n"
      "<footer>An octave slip is a guess an octave or more off and within half a third-octave of "
      "right otherwise; a wild guess looks like one about one time in three. Written by "
      "brink.</footer>\n";
  return sheet_page(fmt::format("{}, ear", trainee), body);
}

}  // namespace brink::app
