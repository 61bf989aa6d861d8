#include "sheet/sheet.h"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <regex>
#include <utility>
#include <vector>

#include "base/units.h"
#include "cuts/setting.h"
#include "support/example_show.h"
#include "support/files.h"
#include "support/process.h"

namespace brink::sheet {
namespace {

/// Python's own XML parser, which is strict, on the page; and nothing in it that loads or runs.
bool is_sound(const std::string& page) {
  const tests::TemporaryDirectory directory;
  const std::string path = directory / "page.html";
  tests::write_bytes(path, page);
  tests::Process python({"python3", SHEET_READER, path});
  const auto line = python.read_line(30.0);
  if (line) {
    MESSAGE(*line);
  }
  return python.wait(30.0) == 0;
}

bool has(const std::string& page, std::string_view text) {
  return page.find(text) != std::string::npos;
}

std::size_t count_of(const std::string& page, std::string_view text) {
  std::size_t count = 0;
  for (auto at = page.find(text); at != std::string::npos; at = page.find(text, at + text.size())) {
    ++count;
  }
  return count;
}

/// The part of a page from one text to another.
std::string part_of(const std::string& page, const std::string& from, const std::string& to) {
  const auto begin = page.find(from);
  REQUIRE(begin != std::string::npos);
  return page.substr(begin, page.find(to, begin) - begin);
}

struct Point {
  double x = 0.0;
  double y = 0.0;
};

/// Grid lines of a drawn axis: what they are labelled with, and where they lie.
std::vector<std::pair<double, double>> grid(const std::string& svg, const std::string& pattern) {
  std::vector<std::pair<double, double>> lines;
  const std::regex form(pattern);
  for (auto line = std::sregex_iterator(svg.begin(), svg.end(), form);
       line != std::sregex_iterator();
       ++line) {
    lines.emplace_back(std::stod((*line)[1]), std::stod((*line)[2]));
  }
  return lines;
}

std::vector<Point> curve_points(const std::string& svg) {
  std::vector<Point> points;
  const std::string list = part_of(svg, R"(class="curve" points=")", "\"/>");
  const std::regex form("([-0-9.]+),([-0-9.]+)");
  for (auto point = std::sregex_iterator(list.begin(), list.end(), form);
       point != std::sregex_iterator();
       ++point) {
    points.push_back({std::stod((*point)[1]), std::stod((*point)[2])});
  }
  return points;
}

cuts::Setting setting_of(const show::OutputRecord& output) {
  cuts::Setting setting;
  for (const cuts::Band& cut : output.cuts) {
    if (cut.q == 0.0) {
      setting.high_pass.corner_hz = cut.centre_hz;
    } else {
      setting.cuts.push_back({cut.centre_hz, cut.q, cut.depth_db});
    }
  }
  return setting;
}

void check_curve(const std::string& svg, const cuts::Setting& setting) {
  // The axes by their own grid lines: logarithm of frequency across, dB straight up.
  const auto across = grid(svg, R"re(data-hz="([0-9]+)" x1="([0-9.]+)")re");
  const auto up = grid(svg, R"re(data-value="([-0-9.]+)" x1="[0-9.]+" y1="([0-9.]+)")re");
  REQUIRE(across.size() == 10);
  REQUIRE(up.size() >= 4);
  const auto [low_hz, low_x] = across.front();
  const auto [high_hz, high_x] = across.back();
  const auto [low_db, low_y] = up.front();
  const auto [high_db, high_y] = up.back();
  const auto points = curve_points(svg);
  REQUIRE(points.size() > 150);
  double deepest_db = 0.0;
  for (const Point& point : points) {
    const double f_hz = low_hz * std::pow(high_hz / low_hz, (point.x - low_x) / (high_x - low_x));
    const double drawn_db = low_db + (point.y - low_y) / (high_y - low_y) * (high_db - low_db);
    const double level_db = base::amplitude_to_db(std::abs(cuts::response(setting, f_hz, 48000.0)));
    CAPTURE(f_hz);
    // Places are written to 0.01, 0.001 dB upwards; across, 0.005 is 0.01 % of a frequency, on the
    // steepest flank here (6 dB within a tenth of an octave) 0.02 dB.
    CHECK(std::abs(drawn_db - std::max(low_db, level_db)) < 0.03);
    deepest_db = std::min(deepest_db, f_hz > 150.0 ? drawn_db : 0.0);
  }
  // No dip is lost between the points: 6 dB is the deepest cut of all three outputs.
  CHECK(deepest_db < -5.95);
}

std::vector<std::string> texts_of(const show::ShowRecord& show) {
  std::vector<std::string> texts{show.key, show.venue, show.name, show.started_at, show.note};
  for (const show::DismissalRecord& dismissal : show.dismissals) {
    texts.insert(texts.end(), {dismissal.dismissed_at, dismissal.reason});
  }
  for (const show::OutputRecord& output : show.outputs) {
    texts.insert(texts.end(), {output.name, output.microphone, output.advice});
    texts.insert(texts.end(), output.prepared.begin(), output.prepared.end());
    for (const show::RoundRecord& round : output.rounds) {
      texts.insert(texts.end(), {round.ring.flagged_at, round.note});
    }
  }
  return texts;
}

void add_cut(std::vector<double>& numbers, const cuts::Band& cut) {
  numbers.push_back(cut.centre_hz);
  if (cut.q > 0.0) {
    numbers.insert(numbers.end(), {cut.q, cut.depth_db});
  }
}

void add_round(std::vector<double>& numbers, const show::RoundRecord& round) {
  const show::RingRecord& ring = round.ring;
  numbers.insert(numbers.end(),
                 {ring.frequency_hz,
                  ring.frequency_sd_hz,
                  ring.growth_db_per_s,
                  ring.peak_dbfs,
                  ring.confidence});
  for (const auto& known_db : {round.rang_at_db, round.returned_at_db, ring.laeq_1s_db}) {
    if (known_db) {
      numbers.push_back(*known_db);
    }
  }
  for (const auto& cut : {round.proposed, round.cut}) {
    if (cut) {
      add_cut(numbers, *cut);
    }
  }
}

std::vector<double> numbers_of(const show::ShowRecord& show) {
  std::vector<double> numbers;
  for (const show::DismissalRecord& dismissal : show.dismissals) {
    numbers.push_back(dismissal.frequency_hz);
  }
  for (const show::OutputRecord& output : show.outputs) {
    for (const cuts::Band& cut : output.cuts) {
      add_cut(numbers, cut);
    }
    for (const show::RoundRecord& round : output.rounds) {
      add_round(numbers, round);
    }
    if (output.back_off_db) {
      numbers.push_back(*output.back_off_db);
    }
  }
  return numbers;
}

}  // namespace

TEST_CASE("the sheet of a show is well-formed and needs nothing else") {
  const std::string page = sheet_html(tests::example_show());
  CHECK(is_sound(page));
  CHECK(has(page, "name=\"viewport\""));
  CHECK(has(page, "@page{size:A4"));
  CHECK(has(page, "Local rules and qualified people come first"));
}

TEST_CASE("the reader that judges sheets finds planted faults") {
  const std::string page = sheet_html(tests::example_show());
  const auto planted = [&](const std::string& from, const std::string& to) {
    std::string spoilt = page;
    spoilt.replace(spoilt.find(from), from.size(), to);
    return spoilt;
  };
  CHECK_FALSE(is_sound(planted("</h1>", "</h2>")));
  CHECK_FALSE(is_sound(planted("<h1>", "<script>1</script><h1>")));
  CHECK_FALSE(is_sound(planted("<h1>", "<h1 onclick=\"1\">")));
  CHECK_FALSE(is_sound(planted("<h1>", "<h1><a href=\"http://example.org\">x</a>")));
  CHECK_FALSE(is_sound(planted("body{", "body{background:url(x.png);")));
  CHECK_FALSE(is_sound(planted(" scope=\"col\"", "")));
  CHECK_FALSE(is_sound(planted("id=\"output-2\"", "id=\"output-1\"")));
}

TEST_CASE("whatever is typed stays text") {
  const std::string page = sheet_html(tests::hostile_show());
  CHECK(is_sound(page));
  CHECK(has(page, "&lt;script&gt;alert(1)"));
  CHECK_FALSE(has(page, "<script"));
  CHECK_FALSE(has(page, "<img"));
  CHECK_FALSE(has(page, "\x01"));
  CHECK_FALSE(has(page, "\xFF"));
}

TEST_CASE("every number and text of the record is on the sheet") {
  const show::ShowRecord show = tests::example_show();
  const std::string page = sheet_html(show);
  for (const std::string& text : texts_of(show)) {
    CAPTURE(text);
    CHECK(has(page, text));
  }
  for (const double value : numbers_of(show)) {
    CAPTURE(value);
    CHECK(has(page, fmt::format("<data value=\"{}\">", value)));
  }
}

TEST_CASE("picture, table and words of an output say the same") {
  // Facts of the example's first output, by hand: it began to ring at -14 dB, its four rounds went
  // up to -11, -9.5, -7.5 and -7 dB, and 6 dB were taken back from there.
  const std::string page = sheet_html(tests::example_show());
  const std::string wedge = part_of(page, "id=\"output-1\"", "id=\"output-2\"");
  const std::string minus = "\u2212";
  CHECK(has(wedge, minus + "13.0\u00A0dB</data></dd>"));
  CHECK(has(wedge,
            "Round 1 won 3.0\u00A0dB, round 2 won 1.5\u00A0dB, round 3 won 2.0\u00A0dB and "
            "round 4 won 0.5\u00A0dB"));
  CHECK(has(wedge, ">+7.0\u00A0dB</td>"));
  CHECK(has(wedge, "Leave the fader at " + minus + "13.0\u00A0dB or lower"));
  for (const char* won : {"+3.0", "+1.5", "+2.0", "+0.5"}) {
    CHECK(has(wedge, fmt::format(">{}\u00A0dB</td>", won)));
    CHECK(count_of(wedge, fmt::format(">{}</text>", won)) == 2);  // on wide screens and on narrow
  }
  // Depth in the target's steps: -6 dB are 12 steps of 0.5 dB, -4.5 dB are 9.
  CHECK(has(wedge, "Steps of 0.5\u00A0dB"));
  CHECK(has(wedge, "data-label=\"Steps of 0.5\u00A0dB\">12</td>"));
  CHECK(has(wedge, "data-label=\"Steps of 0.5\u00A0dB\">9</td>"));
  CHECK_FALSE(has(wedge, "not on a step"));
  // Four rings, as marks of both pictures, each said with its growth.
  CHECK(count_of(wedge, "<circle class=\"calm\"") == 2 * (4 + 0) + 1);  // and one in the key
  CHECK(has(wedge, "ring 3 at 6264\u00A0Hz, 118 dB a second"));
  // The graphic's bands by their nominal names.
  const std::string graphic = part_of(page, "id=\"output-2\"", "id=\"output-3\"");
  CHECK(has(graphic, ">3.15\u00A0kHz</data> <small>band 23 of 31</small>"));
  // Nothing is settled where no margin was taken.
  const std::string open = part_of(page, "id=\"output-3\"", "</section>");
  CHECK(has(open, "Still open: no margin was taken. It rings at " + minus + "5.5\u00A0dB"));
}

TEST_CASE("a sweep stands on the sheet as a round of its own kind") {
  show::ShowRecord show = tests::example_show();
  CHECK_FALSE(has(sheet_html(show), "Round: sweep"));
  show::SweepRecord sweep;
  sweep.made_at = "2026-03-14T16:31:00.000+01:00";
  sweep.from = "sweep";
  sweep.level_dbfs = -40.0;
  sweep.over_noise_db = 27.2;
  sweep.console_gain_db = -3.0;
  sweep.stable_gain_db = 4.25;
  sweep.stable_gain_most_db = 5.5;
  sweep.won_least_db = 3.0;
  sweep.won_most_db = 3.0;
  sweep.lost_db = 0.9;
  sweep.rings = {{2631.4, 4.25}, {391.2, 4.9}};
  sweep.cuts = {{2600.0, 8.0, -6.0}};
  sweep.warnings = {"Something <moved>."};
  sweep.note = "Curtain & doors open";
  show.outputs[0].sweeps.push_back(sweep);
  const std::string page = sheet_html(show);
  CHECK(is_sound(page));
  const std::string wedge = part_of(page, "id=\"output-1\"", "id=\"output-2\"");
  CHECK(has(wedge, "16:31:00</time>"));
  CHECK(has(wedge, "its peak at -40\u00A0dBFS, 27\u00A0dB over the noise"));
  CHECK(has(wedge, "after 4.2 to 5.5\u00A0dB more than the console"));
  CHECK(has(wedge, "Foretold to win 3.0\u00A0dB of stable gain, for 0.9\u00A0dB of level"));
  CHECK(has(wedge, "On music a listener could hear this cut."));  // 6 dB at Q 8: threshold 2.8 dB
  CHECK(has(wedge, "<data value=\"2631.4\">"));
  CHECK(has(wedge, "Something &lt;moved&gt;."));
  CHECK(has(wedge, "Curtain &amp; doors open"));
}

TEST_CASE("sound pressure is on the sheet where a microphone was calibrated, and nowhere else") {
  show::ShowRecord show = tests::example_show();
  for (show::OutputRecord& output : show.outputs) {
    for (show::RoundRecord& round : output.rounds) {
      round.ring.laeq_1s_db.reset();
    }
  }
  const std::string without = part_of(sheet_html(show), "id=\"output-1\"", "id=\"output-2\"");
  CHECK_FALSE(has(without, "LAeq"));
  CHECK_FALSE(has(without, "dBA"));
  show.outputs[0].rounds[1].ring.laeq_1s_db = 91.26;
  show.outputs[0].rounds[2].ring.laeq_1s_db = 97.5;
  const std::string page = sheet_html(show);
  CHECK(is_sound(page));
  const std::string wedge = part_of(page, "id=\"output-1\"", "id=\"output-2\"");
  CHECK(has(wedge, "<data value=\"91.26\">91.3</data>\u00A0dBA"));
  CHECK(count_of(wedge, "dBA") == 2);  // rings 1 and 4 have none
  CHECK(has(wedge, "The loudest second at the microphone was 97.5\u00A0dB (LAeq), in ring 3."));
  CHECK_FALSE(has(part_of(page, "id=\"output-2\"", "</section>"), "LAeq"));
}

TEST_CASE("the drawn curve is the equaliser's response") {
  const show::ShowRecord show = tests::example_show();
  const std::string page = sheet_html(show);
  for (std::size_t number = 1; number <= show.outputs.size(); ++number) {
    const cuts::Setting setting = setting_of(show.outputs[number - 1]);
    for (const char* width : {"wide", "narrow"}) {
      CAPTURE(number);
      CAPTURE(width);
      check_curve(
          part_of(page, fmt::format("aria-labelledby=\"curve-{}-{}-t", number, width), "</svg>"),
          setting);
    }
  }
}

TEST_CASE("the last check is on the sheet as everywhere, or said not to be done") {
  show::ShowRecord show = tests::example_show();
  CHECK(has(sheet_html(show), "Last check, all outputs open: not done."));
  show.check = show::CheckRecord{"2026-03-14T17:31:40.250+01:00", 34.9, -23.4, {811.2, 2631.0}};
  CHECK(has(sheet_html(show), "811 Hz, 2631 Hz rang in 34 s, peaks up to -23 dBFS"));
  show.check->rang_hz.clear();
  CHECK(has(sheet_html(show), "nothing rang in 34 s, peaks up to -23 dBFS, 2026-03-14 17:31"));
  show.check =
      show::CheckRecord{.ended_at = "", .rang_hz = {}, .older_words = "nothing rang, 20:14"};
  CHECK(has(sheet_html(show), "nothing rang, 20:14 (how long it listened was not noted)"));
}

TEST_CASE("an output in which nothing rang has no margin and no place, but where it was tried") {
  show::ShowRecord show;
  show.outputs.resize(1);
  show.outputs[0].is_ended = true;
  std::string page = sheet_html(show);
  CHECK(is_sound(page));
  CHECK(has(page, "Up to where it was tried is not known."));
  show.outputs[0].tried_to_db = -3.0;
  page = sheet_html(show);
  CHECK(has(page, "Nothing rang. It was tried up to \u22123.0\u00A0dB on the fader."));
  CHECK(has(page, "No margin is known, because nothing rang."));
  CHECK_FALSE(has(page, "Leave the fader at \u2212"));
  CHECK_FALSE(has(page, "Advice at its end"));
}

TEST_CASE("a round that won is not said to have failed because its ring was not seen to fade") {
  show::ShowRecord show = tests::example_show();
  show.outputs.resize(1);
  show.outputs[0].rounds[0].has_faded = false;
  const std::string page = sheet_html(show);
  CHECK(has(page, "came back later"));
  CHECK_FALSE(has(page, "not seen to fade"));
}

TEST_CASE("with several taps the sheet has a table: microphones across, outputs down") {
  show::ShowRecord show = tests::example_show();
  CHECK(!has(sheet_html(show), "Which microphone"));
  show.outputs[0].rounds[0].microphone = "vocal <left>";
  const std::string page = sheet_html(show);
  CHECK(is_sound(page));
  const std::string part = part_of(page, "Which microphone", "</table>");
  CHECK(has(part, "vocal &lt;left&gt;"));
  CHECK(count_of(part, "—") + 1 == show.outputs.size());
}

TEST_CASE("an empty show and an output without rounds have a sheet") {
  CHECK(is_sound(sheet_html({})));
  CHECK(has(sheet_html({}), "No output was rung out"));
  show::ShowRecord show;
  show.outputs.resize(1);
  const std::string page = sheet_html(show);
  CHECK(is_sound(page));
  CHECK(has(page, "Nothing rang."));
  CHECK(has(page, "Nothing is cut"));
  CHECK(has(page, "No round was done."));
}

TEST_CASE("twelve outputs and two hundred rings have a sheet") {
  const std::string twelve = sheet_html(tests::large_show(12, 6));
  CHECK(is_sound(twelve));
  CHECK(count_of(twelve, "<section class=\"output\"") == 12);
  const std::string long_one = sheet_html(tests::large_show(1, 200));
  CHECK(is_sound(long_one));
  CHECK(count_of(long_one, "<tr role=\"row\"><th scope=\"row\"") == 2 + 5 + 200 + 200);
}

TEST_CASE("numbers that are none are said to be not known") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  show::ShowRecord show = tests::example_show();
  for (show::OutputRecord& output : show.outputs) {
    output.cuts.push_back({nan, nan, nan});
    output.cuts.push_back({infinity, 4.0, -infinity});
    output.cuts.push_back({-5.0, 4.0, 1e300});
    output.back_off_db = nan;
    for (show::RoundRecord& round : output.rounds) {
      round.ring = {"", nan, infinity, nan, -infinity, nan, nan};
      round.rang_at_db = nan;
      round.returned_at_db = infinity;
    }
  }
  show.dismissals.front().frequency_hz = -infinity;
  const std::string page = sheet_html(show);
  CHECK(is_sound(page));
  CHECK_FALSE(std::regex_search(page, std::regex("\\b(nan|inf)\\b")));
  CHECK(has(page, "not known"));
}

TEST_CASE("a cut that the target cannot be set to is said to lie between its steps") {
  show::ShowRecord show = tests::example_show();
  show.outputs.resize(1);
  show.outputs[0].target = "third-octave";
  show.outputs[0].cuts = {{2631.0, 4.32, -6.2}, {1000.0, 4.32, -15.0}};
  const std::string page = sheet_html(show);
  CHECK(has(page, "nearest is 2512\u00A0Hz; depth between steps"));
  CHECK(has(page, "no deeper than \u221212.0\u00A0dB"));
  show.outputs[0].target = "no target\nat all";
  CHECK(has(sheet_html(show), "cannot be read"));
}

TEST_CASE("the sheet of an ear counts hits, errors, time and octave slips") {
  // By hand, in third-octaves of base ten: errors 0, 1 (the last hit), 2 and 3.01 (an octave up),
  // then an octave down; one guess of somebody else.
  std::vector<show::GuessRecord> guesses(6);
  const double third = std::pow(10.0, 0.1);
  const std::vector<double> guessed_hz{
      1000.0, 1000.0 * third, 1000.0 * third * third, 2000.0, 250.0};
  for (std::size_t i = 0; i < guesses.size(); ++i) {
    guesses[i].trainee = i < 5 ? "Wren" : "Tam";
    guesses[i].guessed_at =
        i < 3 ? "2026-03-01T20:00:00.000+01:00" : "2026-03-02T00:10:00.000+01:00";
    guesses[i].true_hz = i == 4 ? 500.0 : 1000.0;
    guesses[i].guessed_hz = i < 5 ? guessed_hz[i] : 9000.0;
    guesses[i].took_s = 2.0 + static_cast<double>(i);
  }
  const std::string page = ear_sheet_html(guesses, "Wren");
  CHECK(is_sound(page));
  CHECK(has(page, "2 of 5\u00A0guesses were within a third-octave of what rang: 40\u00A0%"));
  CHECK(has(page, "off by 2.0\u00A0third-octaves or less"));
  CHECK(has(page, "locked within 4.0 s"));
  CHECK(has(page, "2\u00A0octave slips: 1 by 1 octave too low and 1 by 1 octave too high"));
  // 1 March 2026 is a Sunday, of the ninth week; the next day begins the tenth.
  CHECK(has(page, ">2026-W09</th>"));
  CHECK(has(page, ">2026-W10</th>"));
  // Of the four at 1 kHz the middle two are 1 and 2.
  CHECK(has(page, ">1.5</td>"));
}

TEST_CASE("an ear's sheet stands without guesses and with hostile ones") {
  CHECK(is_sound(ear_sheet_html({}, "")));
  std::vector<show::GuessRecord> guesses = tests::example_guesses();
  guesses[0].trainee = guesses[1].trainee = guesses[2].trainee = "<b>&\"";
  guesses[0].true_hz = std::numeric_limits<double>::quiet_NaN();
  guesses[1].guessed_hz = 0.0;
  guesses[2].guessed_at = "<i>yesterday";
  const std::string page = ear_sheet_html(guesses, "<b>&\"");
  CHECK(is_sound(page));
  CHECK(has(page, "2\u00A0guesses without a frequency or a time left out"));
  CHECK(is_sound(ear_sheet_html(guesses, "Wren")));
}

}  // namespace brink::sheet
