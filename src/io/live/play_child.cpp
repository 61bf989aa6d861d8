#include "io/live/play_child.h"

#include <fmt/format.h>
#include <portaudio.h>
#include <samplerate.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <thread>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "io/live/capture_memory.h"
#include "io/live/child_process.h"
#include "io/live/inputs.h"
#include "io/live/play_memory.h"
#include "io/live/play_voice.h"
#include "io/live/sound_systems.h"

namespace brink::io {
namespace {

using base::Error;
using std::chrono::milliseconds;

constexpr milliseconds kLook(10);      // how often the device is asked whether it runs
constexpr milliseconds kRampDown(80);  // time for the last ramp to leave the device's buffers

/// Somebody started the JACK server for a purpose, and it occupies the card. So its outputs come
/// first.
PaDeviceIndex default_output() {
  const PaHostApiInfo* const api = jack_server();
  if (api != nullptr && api->defaultOutputDevice != paNoDevice) {
    return api->defaultOutputDevice;
  }
  return Pa_GetDefaultOutputDevice();
}

/// The output that the user named.
PaDeviceIndex named_output(const std::string& name) {
  std::vector<InputDevice> outputs;
  for (PaDeviceIndex index = 0; index < Pa_GetDeviceCount(); ++index) {
    const PaDeviceInfo* const device = Pa_GetDeviceInfo(index);
    if (device->maxOutputChannels > 0) {
      outputs.push_back({.number = index,
                         .name = device->name,
                         .api = api_name(Pa_GetHostApiInfo(device->hostApi)),
                         .channels = device->maxOutputChannels,
                         .default_rate_hz = device->defaultSampleRate,
                         .is_default = false});
    }
  }
  return find_input(outputs, name, "output").number;
}

int on_block(const void* /*input*/,
             void* output,
             unsigned long sample_count,
             const PaStreamCallbackTimeInfo* /*time*/,
             PaStreamCallbackFlags /*flags*/,
             void* player) noexcept BRINK_NONBLOCKING;

/// Converts the samples to another rate by band-limited interpolation (libsamplerate).
std::vector<float> converted(std::span<const float> samples, double from_hz, double to_hz) {
  std::vector<float> out(static_cast<std::size_t>(
      std::ceil(static_cast<double>(samples.size()) * to_hz / from_hz) + 1.0));
  SRC_DATA data{};
  data.data_in = samples.data();
  data.input_frames = static_cast<long>(samples.size());
  data.data_out = out.data();
  data.output_frames = static_cast<long>(out.size());
  data.src_ratio = to_hz / from_hz;
  const int error = src_simple(&data, SRC_SINC_MEDIUM_QUALITY, 1);
  if (error != 0) {
    throw Error(
        fmt::format("The sound could not be brought to {:g} Hz ({}).", to_hz, src_strerror(error)));
  }
  out.resize(static_cast<std::size_t>(data.output_frames_gen));
  return out;
}

/// An open, running stream. It is silent until it is asked to play.
class OutputStream {
 public:
  explicit OutputStream(const PlayMemory& memory)
      : channel_(static_cast<std::size_t>(memory.header().channel)),
        parameters_(parameters(memory.header())),
        rate_hz_(rate_for(memory.header().sample_rate_hz)),
        converted_(convert(memory)),
        voice_(memory.header(),
               converted_.empty() ? memory.samples() : std::span<const float>(converted_),
               rate_hz_) {
    constexpr const char* kFailure = "The sound output could not be opened";
    check_sound(Pa_OpenStream(&stream_,
                              nullptr,
                              &parameters_,
                              rate_hz_,
                              paFramesPerBufferUnspecified,
                              paClipOff | paDitherOff,
                              on_block,
                              this),
                kFailure);
    check_sound(Pa_StartStream(stream_), kFailure);
  }

  ~OutputStream() { Pa_CloseStream(stream_); }

  OutputStream(const OutputStream&) = delete;
  OutputStream& operator=(const OutputStream&) = delete;
  OutputStream(OutputStream&&) = delete;
  OutputStream& operator=(OutputStream&&) = delete;

  void fill(float* block, std::size_t sample_count) noexcept BRINK_NONBLOCKING {
    const auto channels = static_cast<std::size_t>(parameters_.channelCount);
    voice_.fill(block, sample_count, channels);
    for (std::size_t n = 0; channel_ > 0 && n < sample_count * channels; ++n) {
      block[n] = n % channels + 1 == channel_ ? block[n] : 0.0F;
    }
  }

  [[nodiscard]] bool is_active() const { return Pa_IsStreamActive(stream_) == 1; }

 private:
  static PaStreamParameters parameters(const PlayHeader& header) {
    PaStreamParameters parameters{};
    const std::string name = to_string(header.output);
    parameters.device = name.empty() ? default_output() : named_output(name);
    const PaDeviceInfo* const device =
        parameters.device == paNoDevice ? nullptr : Pa_GetDeviceInfo(parameters.device);
    if (device == nullptr || device->maxOutputChannels < 1) {
      throw Error("There is no sound output to play on.");
    }
    const auto channel = static_cast<int>(header.channel);
    if (channel > device->maxOutputChannels) {
      throw Error(fmt::format("'{}' has {} output channels; there is no channel {}.",
                              base::printable(device->name),
                              device->maxOutputChannels,
                              channel));
    }
    parameters.channelCount = channel > 0 ? channel : std::min(2, device->maxOutputChannels);
    parameters.sampleFormat = paFloat32;
    // A stop must be heard at once, so the latency is limited.
    constexpr double kMostLatencyS = 0.05;
    const double offered_s = device->defaultLowOutputLatency;
    parameters.suggestedLatency =
        std::isfinite(offered_s) ? std::clamp(offered_s, 0.005, kMostLatencyS) : kMostLatencyS;
    return parameters;
  }

  [[nodiscard]] double rate_for(double own_hz) const {
    if (Pa_IsFormatSupported(nullptr, &parameters_, own_hz) == paFormatIsSupported) {
      return own_hz;
    }
    return Pa_GetDeviceInfo(parameters_.device)->defaultSampleRate;
  }

  [[nodiscard]] std::vector<float> convert(const PlayMemory& memory) const {
    const double own_hz = memory.header().sample_rate_hz;
    return rate_hz_ == own_hz ? std::vector<float>{}
                              : converted(memory.samples(), own_hz, rate_hz_);
  }

  std::size_t channel_;
  PaStreamParameters parameters_;
  double rate_hz_;
  std::vector<float> converted_;
  PlayVoice voice_;
  PaStream* stream_ = nullptr;
};

int on_block(const void* /*input*/,
             void* output,
             unsigned long sample_count,
             const PaStreamCallbackTimeInfo* /*time*/,
             PaStreamCallbackFlags /*flags*/,
             void* player) noexcept BRINK_NONBLOCKING {
  static_cast<OutputStream*>(player)->fill(static_cast<float*>(output), sample_count);
  return paContinue;
}

void refuse(PlayHeader& header, const Error& error) {
  put_text(header.sentence, error.what());
  header.phase.store(PlayPhase::kRefused, std::memory_order_release);
}

void play_from(const PlayMemory& memory, const std::atomic<bool>& is_wanted) {
  PlayHeader& header = memory.header();
  const OutputStream stream(memory);
  header.phase.store(PlayPhase::kRunning, std::memory_order_release);
  while (is_wanted.load()) {
    if (!stream.is_active()) {
      // With a dead server nothing can be closed, so nothing is closed. The parent sees that this
      // process ended.
      std::_Exit(0);
    }
    std::this_thread::sleep_for(kLook);
  }
  // Whatever ended the parent: a sound that still plays ends with a ramp.
  header.is_wanted.store(false);
  std::this_thread::sleep_for(kRampDown);
}

}  // namespace

int run_play_child() {
  const PlayMemory memory(memory_of_parent());
  const std::atomic<bool>& is_wanted = follow_parent();
  return run_sound_child(
      "brink-out",
      [&] { play_from(memory, is_wanted); },
      [&](const Error& error) { refuse(memory.header(), error); });
}

}  // namespace brink::io
