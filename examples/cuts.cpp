// Prints a cut for each ring that is over, from raw samples on stdin: one channel, 32-bit float,
// little-endian.
//   cuts RATE_HZ < samples.f32
#include <brink/detector.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <exception>

namespace {

void print_cuts(brink::Detector& detector) {
  while (const auto event = detector.next_event()) {
    if (event->state == BRINK_GONE && event->flagged_sample != BRINK_NEVER) {
      const brink::Cut cut = brink::propose_cut(*event);
      std::printf("%.1f Hz: ", event->frequency_hz);
      std::printf("cut %g Hz by %g dB at Q %g\n", cut.centre_hz, -cut.depth_db, cut.q);
    }
  }
}

}  // namespace

int main(int count, char** words) try {
  brink::Detector detector(count == 2 ? std::atof(words[1]) : 0.0);
  std::array<float, 1024> block{};
  while (const std::size_t length = std::fread(block.data(), sizeof(float), block.size(), stdin)) {
    detector.push(block.data(), length);
    print_cuts(detector);
  }
  detector.finish();
  print_cuts(detector);
  return 0;

} catch (const std::exception& error) {
  std::fprintf(stderr, "%s\n", error.what());
  return 2;
}
