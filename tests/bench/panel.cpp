#include "panel/panel.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <ctime>
#include <filesystem>
#include <memory>
#include <thread>
#include <vector>

#include "support/paper.h"

// What one pass of the window costs the processor, painting left out: taking what is new from the
// session, building the interface, and the strip's new row. A ringing stage, map and strip full.
namespace {

using namespace brink;

double thread_ms() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

double share(std::vector<double>& sorted, double part) {
  return sorted[static_cast<std::size_t>(part * static_cast<double>(sorted.size() - 1))];
}

}  // namespace

int main() {
  constexpr float kWidth = 1280.0F;
  constexpr float kHeight = 800.0F;
  tests::Paper paper(kWidth, kHeight);
  int rows = 0;
  const auto book = std::filesystem::temp_directory_path() / "brink-bench-panel.sqlite";
  panel::Panel panel([] {}, std::make_unique<tests::BlindStrip>(rows), book.string());
  panel.desk().set_fader_db(2.0);
  std::vector<double> passes_ms;
  std::size_t most_tracks = 0;
  while (panel.desk().stream_s() < 20.0) {
    std::this_thread::sleep_for(std::chrono::milliseconds(30));
    const double start_ms = thread_ms();
    paper.pass([&] { panel.draw({}, paper.theme(), kWidth, kHeight); });
    if (panel.desk().stream_s() > 5.0) {
      passes_ms.push_back(thread_ms() - start_ms);
      most_tracks = std::max(most_tracks, panel.desk().snapshot().taps.front().tracks.size());
    }
  }
  std::filesystem::remove(book);
  std::sort(passes_ms.begin(), passes_ms.end());
  fmt::print("building the interface, {:.0f} x {:.0f}, up to {} tracks on the map, {} passes:\n",
             kWidth,
             kHeight,
             most_tracks,
             passes_ms.size());
  fmt::print("  median {:.2f} ms, 95 % within {:.2f} ms (target: under 1 ms)\n",
             share(passes_ms, 0.5),
             share(passes_ms, 0.95));
}
