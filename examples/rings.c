/* Prints the rings in raw samples from stdin: one channel, 32-bit float, little-endian.
 *   rings RATE_HZ < samples.f32
 */
#include <brink/brink.h>
#include <stdio.h>
#include <stdlib.h>

static void print_events(brink_detector* detector, double rate_hz) {
  brink_event event;
  while (brink_detector_next_event(detector, &event, sizeof event)) {
    if (event.state == BRINK_RINGING) {
      printf("%.2f s: %.1f Hz, ", (double)event.sample / rate_hz, event.frequency_hz);
      printf("%.0f dB/s, %.0f %% sure\n", event.growth_db_per_s, 100.0 * event.confidence);
    }
  }
}

int main(int count, char** words) {
  const double rate_hz = count == 2 ? atof(words[1]) : 0.0;
  int error = BRINK_OK;
  brink_detector* detector = brink_detector_new(rate_hz, &error);
  if (detector == NULL) {
    fprintf(stderr, "%s\n", brink_error_text(error));
    return 2;
  }
  float block[1024];
  size_t length = 0;
  while (error == BRINK_OK && (length = fread(block, sizeof *block, 1024, stdin)) > 0) {
    error = brink_detector_push(detector, block, length);
    print_events(detector, rate_hz);
  }
  brink_detector_delete(detector);
  return error;
}
