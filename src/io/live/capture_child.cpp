#include "io/live/capture_child.h"

#include <fmt/format.h>
#include <portaudio.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <thread>
#include <vector>

#include "base/error.h"
#include "io/live/capture_memory.h"
#include "io/live/capture_writer.h"
#include "io/live/child_process.h"
#include "io/live/inputs.h"
#include "io/live/sound_systems.h"
#include "io/sound_file.h"
#include "io/whole_file.h"

namespace brink::io {
namespace {

using base::Error;
using std::chrono::milliseconds;

constexpr milliseconds kLook(20);  // how often the device is asked whether it runs

/// Somebody started the JACK server for a purpose, and it occupies the card. So its inputs come
/// first.
PaDeviceIndex default_input() {
  const PaHostApiInfo* const api = jack_server();
  if (api != nullptr && api->defaultInputDevice != paNoDevice) {
    return api->defaultInputDevice;
  }
  return Pa_GetDefaultInputDevice();
}

std::vector<InputDevice> all_inputs() {
  std::vector<InputDevice> inputs;
  const PaDeviceIndex chosen = default_input();
  for (PaDeviceIndex number = 0; number < Pa_GetDeviceCount(); ++number) {
    const PaDeviceInfo* const device = Pa_GetDeviceInfo(number);
    if (device == nullptr || device->maxInputChannels < 1) {
      continue;
    }
    inputs.push_back({number,
                      device->name,
                      api_name(Pa_GetHostApiInfo(device->hostApi)),
                      device->maxInputChannels,
                      device->defaultSampleRate,
                      number == chosen});
  }
  const bool has_default =
      std::any_of(inputs.begin(), inputs.end(), [](const auto& input) { return input.is_default; });
  if (!has_default && !inputs.empty()) {
    inputs.front().is_default = true;
  }
  return inputs;
}

int on_block(const void* input,
             void* /*output*/,
             unsigned long sample_count,
             const PaStreamCallbackTimeInfo* /*time*/,
             PaStreamCallbackFlags flags,
             void* writer) noexcept BRINK_NONBLOCKING {
  auto& to = *static_cast<CaptureWriter*>(writer);
  if ((flags & paInputOverflow) != 0) {
    to.on_gap_report();
  }
  to.on_block(static_cast<const float*>(input), sample_count);
  return paContinue;
}

double wanted_rate_hz(const CaptureRequest& request, const InputDevice& input) {
  const double rate_hz =
      request.sample_rate_hz > 0.0 ? request.sample_rate_hz : input.default_rate_hz;
  if (!(rate_hz >= kLowestRateHz && rate_hz <= kHighestRateHz)) {
    throw Error(fmt::format("{}: a rate of {:g} Hz, and brink takes {:.0f} to {:.0f} Hz.",
                            input.label(),
                            rate_hz,
                            kLowestRateHz,
                            kHighestRateHz));
  }
  return rate_hz;
}

PaStreamParameters parameters_for(const CaptureRequest& request, const InputDevice& input) {
  const int channels = static_cast<int>(request.channel_count);
  if (channels > input.channels) {
    throw Error(fmt::format("{}: it has {} channel{}, and channel {} was asked for.",
                            input.label(),
                            input.channels,
                            input.channels == 1 ? "" : "s",
                            channels));
  }
  PaStreamParameters parameters{};
  parameters.device = input.number;
  parameters.channelCount = channels;
  parameters.sampleFormat = paFloat32;
  // Not losing samples is more important here than a few milliseconds, since a decision takes some
  // hundred.
  const PaDeviceInfo* const device = Pa_GetDeviceInfo(input.number);
  constexpr double kLeastLatencyS = 0.02;
  constexpr double kMostLatencyS = 0.1;
  const double offered_s = device == nullptr ? kMostLatencyS : device->defaultHighInputLatency;
  parameters.suggestedLatency = std::isfinite(offered_s)
                                    ? std::clamp(offered_s, kLeastLatencyS, kMostLatencyS)
                                    : kMostLatencyS;
  return parameters;
}

/// An open, running stream that writes into the shared memory.
class InputStream {
 public:
  InputStream(const CaptureMemory& memory, const InputDevice& input) : writer_(memory) {
    const CaptureRequest& request = memory.header().request;
    const PaStreamParameters parameters = parameters_for(request, input);
    const double rate_hz = wanted_rate_hz(request, input);
    if (Pa_IsFormatSupported(&parameters, nullptr, rate_hz) == paInvalidSampleRate) {
      throw Error(fmt::format("{}: it does not run at {:g} Hz; its own rate is {:g} Hz.",
                              input.label(),
                              rate_hz,
                              input.default_rate_hz));
    }
    const std::string failure = fmt::format("{}: it could not be opened", input.label());
    check_sound(Pa_OpenStream(&stream_,
                              &parameters,
                              nullptr,
                              rate_hz,
                              paFramesPerBufferUnspecified,
                              paClipOff | paDitherOff,
                              on_block,
                              &writer_),
                failure);
    check_sound(Pa_StartStream(stream_), failure);
    const PaStreamInfo* const info = Pa_GetStreamInfo(stream_);
    sample_rate_hz_ = info != nullptr && info->sampleRate > 0.0 ? info->sampleRate : rate_hz;
  }

  ~InputStream() { Pa_CloseStream(stream_); }

  InputStream(const InputStream&) = delete;
  InputStream& operator=(const InputStream&) = delete;
  InputStream(InputStream&&) = delete;
  InputStream& operator=(InputStream&&) = delete;

  [[nodiscard]] bool is_active() const { return Pa_IsStreamActive(stream_) == 1; }

  [[nodiscard]] double sample_rate_hz() const { return sample_rate_hz_; }

 private:
  CaptureWriter writer_;
  PaStream* stream_ = nullptr;
  double sample_rate_hz_ = 0.0;
};

void refuse(CaptureHeader& header, const Error& error) {
  put_text(header.sentence, error.what());
  header.phase.store(CapturePhase::kRefused, std::memory_order_release);
}

void capture_from(const CaptureMemory& memory,
                  const InputDevice& input,
                  const std::atomic<bool>& is_wanted) {
  CaptureHeader& header = memory.header();
  const InputStream stream(memory, input);
  header.sample_rate_hz = stream.sample_rate_hz();
  put_text(header.name, input.label());
  header.is_active.store(true);
  header.phase.store(CapturePhase::kRunning, std::memory_order_release);
  while (is_wanted.load()) {
    if (!stream.is_active()) {
      header.is_active.store(false);
      // With a dead server nothing can be closed, so nothing is closed. The parent sees that this
      // process ended.
      _exit(0);
    }
    std::this_thread::sleep_for(kLook);
  }
}

}  // namespace

int run_capture_child() {
  const CaptureMemory memory(ChildProcess::kMemoryDescriptor);
  return run_sound_child(
      "brink",
      [&](const std::atomic<bool>& is_wanted) {
        const std::vector<InputDevice> inputs = all_inputs();
        const std::string wanted = to_string(memory.header().request.input);
        capture_from(memory, find_input(inputs, wanted), is_wanted);
      },
      [&](const Error& error) { refuse(memory.header(), error); });
}

int run_list_child() {
  static std::atomic<bool> is_wanted{true};
  follow_parent(is_wanted);
  try {
    const SoundSystems systems("brink");
    return write_all(STDOUT_FILENO, "ok\n" + to_lines(all_inputs())) ? 0 : 1;
  } catch (const Error& error) {
    return write_all(STDOUT_FILENO, std::string(error.what()) + "\n") ? 1 : 2;
  }
}

}  // namespace brink::io
