// Any bytes as one of the small files that brink keeps or is given: settings, calibrated
// microphones, a microphone's response, marks of a recording, the page's secret. The first byte
// says which.

#include <chrono>
#include <cmath>
#include <cstdint>
#include <string>

#include "desk/microphones.h"
#include "desk/page/kept_secret.h"
#include "desk/recording_marks.h"
#include "desk/settings.h"
#include "fuzz/fuzz.h"

using namespace brink;
using fuzz::demand;

namespace {

void read_settings(const std::string& path) {
  const desk::LoadedSettings loaded = desk::load_settings(path);
  const desk::Settings& settings = loaded.settings;
  demand(loaded.message.empty() || fuzz::is_sentence(loaded.message));
  demand(settings.back_off_db >= 0.0 && settings.back_off_db <= 20.0);
  demand(settings.interface_scale == 0.0 ||
         (settings.interface_scale >= 1.0 && settings.interface_scale <= 3.0));
  demand(settings.window_width >= 320 && settings.window_width <= 16384);
}

void read_one(unsigned kind, const std::string& path) {
  if (kind == 0) {
    read_settings(path);
  } else if (kind == 1) {
    for (const desk::CalibratedMicrophone& microphone : desk::load_microphones(path)) {
      demand(microphone.channel >= 1);
    }
  } else if (kind == 2) {
    for (const listen::ResponsePoint& point : desk::read_response(path)) {
      demand(std::isfinite(point.frequency_hz) && point.frequency_hz > 0.0);
    }
  } else if (kind == 3) {
    for (const desk::RecordingMark& mark : desk::load_marks(path).marks) {
      demand(mark.channel >= 1 && mark.frequency_hz > 0.0);
    }
  } else {
    const std::chrono::system_clock::time_point now(std::chrono::seconds(1777662131));
    demand(desk::keep_page_secret(path, now, false).size() == 26);
  }
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) {
    return 0;
  }
  const fuzz::MemoryFile file(fuzz::to_text(data + 1, size - 1));
  (void)fuzz::is_taken([&] { read_one(data[0] % 5U, file.path()); });
  return 0;
}
