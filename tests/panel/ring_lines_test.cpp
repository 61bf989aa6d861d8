#include "panel/recording/ring_lines.h"

#include <doctest/doctest.h>
#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "support/paper.h"

using namespace brink;
using namespace brink::panel;

namespace {

constexpr Rect kPlot{50.0F, 40.0F, 850.0F, 540.0F};
constexpr float kCell = 4.0F;

/// Short lines anywhere in the plot, and one in ten long ones.
std::vector<RingLine> some_lines(int count) {
  std::mt19937 random(7);
  std::uniform_real_distribution<float> x(kPlot.left, kPlot.right);
  std::uniform_real_distribution<float> y(kPlot.top, kPlot.bottom);
  std::vector<RingLine> lines;
  for (int i = 0; i < count; ++i) {
    const float onset = x(random);
    const float length = i % 10 == 0 ? 60.0F : 0.5F;
    lines.push_back(
        {onset, onset + 0.2F, onset + length, y(random), kPlot.top, kPlot.bottom, true});
  }
  return lines;
}

/// What one pass of these draws; returns the number of corners.
int draw_pass(tests::Paper& paper, const std::vector<RingLine>& lines, RingLook look) {
  return paper.pass([&] {
    ImGui::SetNextWindowPos(ImVec2(0.0F, 0.0F));
    ImGui::SetNextWindowSize(ImVec2(900.0F, 600.0F));
    ImGui::Begin("plot", nullptr, ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoBackground);
    draw_rings(kPlot, lines, look, paper.theme());
    ImGui::End();
  });
}

struct Bar {
  float left, right, top, bottom;
};

/// The rectangles of the last pass: four corners each.
std::vector<Bar> drawn_bars() {
  std::vector<Bar> bars;
  const ImDrawData& data = *ImGui::GetDrawData();
  for (int list = 0; list < data.CmdListsCount; ++list) {
    const auto& corners = data.CmdLists[list]->VtxBuffer;
    for (int i = 0; i + 3 < corners.Size; i += 4) {
      const ImVec2& from = corners[i].pos;
      const ImVec2& to = corners[i + 2].pos;
      bars.push_back({from.x, to.x, from.y, to.y});
    }
  }
  return bars;
}

}  // namespace

TEST_CASE("what many rings take to draw is bounded by the picture and not by their number") {
  tests::Paper paper(900.0F, 600.0F);
  const int cells = static_cast<int>((kPlot.width() / kCell + 1) * (kPlot.height() / kCell + 1));
  for (const RingLook look : {RingLook::kPlain, RingLook::kSelected, RingLook::kFolded}) {
    const int empty = draw_pass(paper, {}, look);
    const int many = draw_pass(paper, some_lines(200'000), look) - empty;
    CHECK(many > 0);
    CHECK(many <= 4 * cells);
  }
}

TEST_CASE("of many rings each lies on a bar") {
  tests::Paper paper(900.0F, 600.0F);
  const std::vector<RingLine> lines = some_lines(2000);
  draw_pass(paper, lines, RingLook::kPlain);
  const std::vector<Bar> bars = drawn_bars();
  CHECK(bars.size() <= lines.size());
  for (const RingLine& line : lines) {
    CHECK(std::any_of(bars.begin(), bars.end(), [&](const Bar& bar) {
      return bar.left <= line.onset && bar.right >= line.ended &&
             std::abs(0.5F * (bar.top + bar.bottom) - line.y) <= kCell;
    }));
  }
}

TEST_CASE("a few rings have their marks, and those outside of the plot cost nothing") {
  tests::Paper paper(900.0F, 600.0F);
  std::vector<RingLine> lines = some_lines(20);
  const int empty = draw_pass(paper, {}, RingLook::kPlain);
  const int few = draw_pass(paper, lines, RingLook::kPlain) - empty;
  CHECK(few > 20 * 20);  // a circle alone has more corners
  for (int i = 0; i < 5000; ++i) {
    const float away = i % 2 == 0 ? -500.0F : 2000.0F;
    lines.push_back({away, away + 1.0F, away + 2.0F, 100.0F, kPlot.top, kPlot.bottom, true});
  }
  CHECK(draw_pass(paper, lines, RingLook::kPlain) - empty == few);
}
