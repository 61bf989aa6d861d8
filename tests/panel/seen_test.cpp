#include "panel/draw/seen.h"

#include <doctest/doctest.h>

#include <string>

#include "panel/live/ring_rows.h"
#include "support/paper.h"

using namespace brink;
using namespace brink::panel;

namespace {

/// How many rows of the letter's picture are more ink than ground.
int inked_rows(const ImFont& font, ImWchar letter) {
  unsigned char* pixels = nullptr;
  int width = 0;
  int height = 0;
  ImGui::GetIO().Fonts->GetTexDataAsAlpha8(&pixels, &width, &height);
  const ImFontGlyph* const glyph = font.FindGlyph(letter);
  const auto at = [](float share, int whole) {
    return static_cast<int>(share * static_cast<float>(whole) + 0.5F);
  };
  int rows = 0;
  for (int y = at(glyph->V0, height); y < at(glyph->V1, height); ++y) {
    bool is_inked = false;
    for (int x = at(glyph->U0, width); x < at(glyph->U1, width); ++x) {
      is_inked = is_inked || pixels[y * width + x] > 127;
    }
    rows += is_inked ? 1 : 0;
  }
  return rows;
}

}  // namespace

TEST_CASE("minutes of arc are pixels of a 14-inch screen of 1280 x 800 that is 2 m away") {
  // By hand: the diagonal has 1509.43 pixels in 355.6 mm, so a pixel is 0.235586 mm; 16 minutes of
  // arc at 2 m are 9.3084 mm, 30 are 17.4533 mm.
  CHECK(px_of_arc(16.0) == doctest::Approx(39.512).epsilon(1e-4));
  CHECK(px_of_arc(30.0) == doctest::Approx(74.085).epsilon(1e-4));
  CHECK(arc_of_px(px_of_arc(22.0)) == doctest::Approx(22.0).epsilon(1e-9));
}

TEST_CASE("capitals are as high in the font's picture as is told, and never lower than wanted") {
  for (const float scale : {1.0F, 1.5F}) {
    const tests::Paper paper(1280.0F, 800.0F, scale);
    for (const SeenFont& one : paper.theme().seen) {
      const int rows = inked_rows(*one.font, 'H');
      CHECK(rows ==
            doctest::Approx(static_cast<double>(paper.theme().cap_px(*one.font))).epsilon(0.001));
      CHECK(rows >= px_of_arc(one.arc_min) * static_cast<double>(scale));
      CHECK(rows <= px_of_arc(one.arc_min) * static_cast<double>(scale) + 3.0);
    }
  }
}

TEST_CASE("at the largest scale every letter fits into the buffer of the font builder") {
  const tests::Paper paper(3840.0F, 2400.0F, Theme::kLargestScale);
  constexpr float kBufferPixels = 256.0F * 1024.0F / 4.0F;  // ImGui 1.86, imgui_freetype.cpp
  for (const SeenFont& one : paper.theme().seen) {
    for (const ImFontGlyph& glyph : one.font->Glyphs) {
      CHECK((glyph.X1 - glyph.X0) * (glyph.Y1 - glyph.Y0) <= kBufferPixels);
    }
    CHECK(paper.theme().cap_px(*one.font) > 0.0F);
  }
}

TEST_CASE("a text stands in the largest letters that its place has room for") {
  const tests::Paper paper(1280.0F, 800.0F);
  const Theme& theme = paper.theme();
  const std::string words = "Pull the fader down";
  const SeenText wide = lay_seen(theme, words, 1e4F, 1e4F, kFirstArcMin);
  CHECK(arc_of_px(static_cast<double>(theme.cap_px(*wide.font))) >= kFirstArcMin);
  CHECK(wide.lines.size() == 1);
  for (const float width : {80.0F, 300.0F, 600.0F}) {
    for (const float height : {20.0F, 60.0F, 200.0F}) {
      const SeenText text = lay_seen(theme, words, width, height, kFirstArcMin);
      std::string joined;
      for (const std::string_view line : text.lines) {
        joined += (joined.empty() ? "" : " ") +
                  std::string(line.substr(0, line.find_last_not_of(' ') + 1));
      }
      CHECK(joined == words);  // nothing is left out
      if (width >= 300.0F && height >= 60.0F) {
        CHECK(text.width() <= width);
        CHECK(text.height() <= height);
      }
    }
  }
  // The largest letters have what a frequency is written with, and nothing else.
  CHECK(lay_seen(theme, "2.63 kHz", 1e4F, 1e4F, 45.0).font == theme.seen.back().font);
  CHECK(lay_seen(theme, "cut 2.63 kHz", 1e4F, 1e4F, 45.0).font != theme.seen.back().font);
}

TEST_CASE("the first ring gives way as others come, and no card stands outside the place of all") {
  const tests::Paper paper(1280.0F, 800.0F);
  const Theme& theme = paper.theme();
  RingCard lit;
  lit.about = "a free band";
  for (const float height : {150.0F, 260.0F, 400.0F, 560.0F}) {
    float before = 1e9F;
    for (std::size_t others = 0; others < 20; ++others) {
      const CardHeights heights = share_out(height, lit, others, theme);
      CHECK(heights.lit <= before);
      CHECK(heights.rows <= others);
      CHECK(heights.lit + static_cast<float>(heights.rows) * (heights.row + 8.0F) <=
            height + 0.01F);
      CHECK((heights.rows == 0 || heights.row >= kRowHeight));
      before = heights.lit;
    }
  }
  CHECK(share_out(400.0F, lit, 0, theme).lit > share_out(400.0F, lit, 4, theme).lit);
  // Rows grow once the first ring's card is whole.
  CHECK(share_out(900.0F, lit, 2, theme).row > share_out(900.0F, lit, 12, theme).row);
}
