#include "io/live/portaudio_inputs.h"

#include <fmt/format.h>
#include <portaudio.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/error.h"
#include "io/live/capture_writer.h"
#include "io/live/jack_graph.h"
#include "io/live/sound_systems.h"

namespace brink::io {
namespace {

using base::Error;

/// Somebody started the JACK server for a purpose, and it occupies the card. So its inputs come
/// first.
PaDeviceIndex default_input() {
  const PaHostApiInfo* const api = jack_server();
  if (api != nullptr && api->defaultInputDevice != paNoDevice) {
    return api->defaultInputDevice;
  }
  return Pa_GetDefaultInputDevice();
}

PaStreamParameters parameters_for(const CaptureRequest& request, int number) {
  PaStreamParameters parameters{};
  parameters.device = number;
  parameters.channelCount = static_cast<int>(request.channel_count);
  parameters.sampleFormat = paFloat32;
  // Not losing samples is more important here than a few milliseconds, since a decision takes some
  // hundred.
  const PaDeviceInfo* const device = Pa_GetDeviceInfo(number);
  constexpr double kLeastLatencyS = 0.02;
  constexpr double kMostLatencyS = 0.1;
  // WASAPI hands over each packet as soon as it is there. What is asked for is only the room for
  // those that were not fetched in time, so it costs no delay; offered is the room for one.
  constexpr double kWasapiRoomS = 0.5;
  if (device != nullptr && Pa_GetHostApiInfo(device->hostApi)->type == paWASAPI) {
    parameters.suggestedLatency = kWasapiRoomS;
    return parameters;
  }
  const double offered_s = device == nullptr ? kMostLatencyS : device->defaultHighInputLatency;
  parameters.suggestedLatency = std::isfinite(offered_s)
                                    ? std::clamp(offered_s, kLeastLatencyS, kMostLatencyS)
                                    : kMostLatencyS;
  return parameters;
}

class PortaudioStream final : public InputStream {
 public:
  PortaudioStream(const CaptureMemory& memory, const InputDevice& input, int number)
      : writer_(memory) {
    const CaptureRequest& request = memory.header().request;
    check_channels(request, input);
    const PaStreamParameters parameters = parameters_for(request, number);
    const double rate_hz = wanted_rate_hz(request, input);
    if (Pa_IsFormatSupported(&parameters, nullptr, rate_hz) == paInvalidSampleRate) {
      throw Error(fmt::format("{}: it does not run at {:g} Hz; its own rate is {:g} Hz.",
                              input.label(),
                              rate_hz,
                              input.default_rate_hz));
    }
    if (input.api == kJackName) {
      jack_.emplace();
      // PipeWire's JACK library keeps the clock for clients with ports only.
      has_clock_ = !is_jack_of_pipewire();
    }
    const std::string failure = fmt::format("{}: it could not be opened", input.label());
    check_sound(Pa_OpenStream(&stream_,
                              &parameters,
                              nullptr,
                              rate_hz,
                              paFramesPerBufferUnspecified,
                              paClipOff | paDitherOff,
                              on_block,
                              this),
                failure);
    check_sound(Pa_StartStream(stream_), failure);
    const PaStreamInfo* const info = Pa_GetStreamInfo(stream_);
    sample_rate_hz_ = info != nullptr && info->sampleRate > 0.0 ? info->sampleRate : rate_hz;
  }

  ~PortaudioStream() override { Pa_CloseStream(stream_); }

  PortaudioStream(const PortaudioStream&) = delete;
  PortaudioStream& operator=(const PortaudioStream&) = delete;
  PortaudioStream(PortaudioStream&&) = delete;
  PortaudioStream& operator=(PortaudioStream&&) = delete;

  [[nodiscard]] bool is_active() override { return Pa_IsStreamActive(stream_) == 1; }

  [[nodiscard]] double sample_rate_hz() const override { return sample_rate_hz_; }

  void look_after(CaptureHeader& header) override {
    if (jack_) {
      jack_->keep_joined(header);
    }
  }

 private:
  static int on_block(const void* input,
                      void* output,
                      unsigned long sample_count,
                      const PaStreamCallbackTimeInfo* time,
                      PaStreamCallbackFlags flags,
                      void* stream) noexcept BRINK_NONBLOCKING;

  CaptureWriter writer_;
  std::optional<JackGraph> jack_;
  bool has_clock_ = false;
  PaStream* stream_ = nullptr;
  double sample_rate_hz_ = 0.0;
};

int PortaudioStream::on_block(const void* input,
                              void* /*output*/,
                              unsigned long sample_count,
                              const PaStreamCallbackTimeInfo* /*time*/,
                              PaStreamCallbackFlags flags,
                              void* stream) noexcept BRINK_NONBLOCKING {
  auto& to = *static_cast<PortaudioStream*>(stream);
  const bool is_late = (flags & paInputOverflow) != 0;
  JackGraph::Missing missing{.samples = 0, .has_unknown = is_late};
  if (to.has_clock_) {
    // JACK flags every late cycle of any client. Its clock tells whether samples are missing.
    missing = to.jack_->look(sample_count, is_late);
  }
  if (missing.samples > 0) {
    to.writer_.on_block(nullptr, missing.samples);
  }
  if (missing.has_unknown) {
    to.writer_.on_gap_report();
  }
  to.writer_.on_block(static_cast<const float*>(input), sample_count);
  return paContinue;
}

}  // namespace

std::vector<InputDevice> portaudio_inputs() {
  std::vector<InputDevice> inputs;
  const PaDeviceIndex chosen = default_input();
  for (PaDeviceIndex number = 0; number < Pa_GetDeviceCount(); ++number) {
    const PaDeviceInfo* const device = Pa_GetDeviceInfo(number);
    if (device == nullptr || device->maxInputChannels < 1) {
      continue;
    }
    inputs.push_back({.number = number,
                      .name = device->name,
                      .api = api_name(Pa_GetHostApiInfo(device->hostApi)),
                      .channels = device->maxInputChannels,
                      .default_rate_hz = device->defaultSampleRate,
                      .is_default = number == chosen});
  }
  return inputs;
}

std::unique_ptr<InputStream> open_portaudio_input(const CaptureMemory& memory,
                                                  const InputDevice& input,
                                                  int number) {
  return std::make_unique<PortaudioStream>(memory, input, number);
}

}  // namespace brink::io
