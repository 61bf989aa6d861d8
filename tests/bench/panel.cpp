#include "panel/panel.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include "io/book/book.h"
#include "support/book_samples.h"
#include "support/files.h"
#include "support/paper.h"

// What one pass of the window costs the processor without the painting: taking what is new from the
// session, building the interface, and writing the strip's new row. It measures each pane, with a
// ringing stage, full map and strip, a book of 2000 shows, and a recording with rings.
namespace {

using namespace brink;

constexpr float kWidth = 1280.0F;
constexpr float kHeight = 800.0F;
constexpr std::uint32_t kShows = 2000;
constexpr double kSettleS = 4.0;  // until list, map or spectrogram are there
constexpr double kMeasuredS = 8.0;

double thread_ms() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

double share(const std::vector<double>& sorted, double part) {
  return sorted[static_cast<std::size_t>(part * static_cast<double>(sorted.size() - 1))];
}

panel::Press press(char32_t character) {
  panel::Press press;
  press.character = character;
  return press;
}

panel::Press press(panel::Key key) {
  panel::Press press;
  press.key = key;
  return press;
}

class Bench {
 public:
  explicit Bench(const std::string& book)
      : panel_([] {},
               std::make_unique<tests::BlindStrip>(rows_),
               book,
               std::make_unique<tests::BlindStrip>(rows_)) {
    panel_.desk().set_fader_db(2.0);
  }

  /// Shows a pane by its key. Prints what its passes cost while `each` is pressed in every pass.
  void measure(const char* name, char32_t key, panel::Input first, const panel::Input& each) {
    std::vector<double> passes_ms;
    first.presses.insert(first.presses.begin(), press(key));
    pass(first);
    const double start_s = panel_.desk().stream_s();
    while (panel_.desk().stream_s() < start_s + kSettleS + kMeasuredS) {
      std::this_thread::sleep_for(std::chrono::milliseconds(30));
      const bool is_settled = panel_.desk().stream_s() > start_s + kSettleS;
      const double pass_ms = pass(is_settled ? each : panel::Input());
      if (is_settled) {
        passes_ms.push_back(pass_ms);
      }
    }
    std::sort(passes_ms.begin(), passes_ms.end());
    fmt::print("  {:<34} {:5.2f} ms median, {:5.2f} ms 95 %, {:5.2f} ms longest of {}\n",
               name,
               share(passes_ms, 0.5),
               share(passes_ms, 0.95),
               passes_ms.back(),
               passes_ms.size());
  }

 private:
  double pass(const panel::Input& input) {
    const double start_ms = thread_ms();
    paper_.pass([&] { panel_.draw(input, paper_.theme(), kWidth, kHeight); });
    return thread_ms() - start_ms;
  }

  tests::Paper paper_{kWidth, kHeight};
  int rows_ = 0;
  panel::Panel panel_;
};

}  // namespace

int main(int argc, char** argv) {
  const tests::TemporaryDirectory folder;
  setenv("XDG_CONFIG_HOME", (folder / "config").c_str(), 1);  // not the user's own settings
  const std::string book = folder / "book.sqlite";
  {
    io::Book written(book);
    std::uint64_t last = 0;
    for (std::uint32_t i = 0; i < kShows; ++i) {
      last = written.keep(tests::sample_show(i, 5, 20));
    }
    (void)written.wait_for(last, 600.0);
  }
  Bench bench(book);
  panel::Input recording;
  if (argc > 1) {
    recording.dropped_files = {argv[1]};
  }
  panel::Input down;
  down.presses = {press(panel::Key::kDown)};
  panel::Input page_down;
  page_down.presses = {press(panel::Key::kPageDown)};
  fmt::print("building the interface, {:.0f} x {:.0f} (target: under 1 ms):\n", kWidth, kHeight);
  bench.measure("Listen", '1', {}, {});
  bench.measure("Ring out", '2', {}, {});
  bench.measure("Ear", '3', {}, {});
  bench.measure("Recording", '4', recording, {});
  bench.measure("Recording, from ring to ring", '4', {}, down);
  bench.measure("Reach", '5', {}, {});
  bench.measure("Book, 2000 shows", '6', {}, {});
  bench.measure("Book, from show to show", '6', {}, down);
  bench.measure("Book, page by page", '6', {}, page_down);
}
