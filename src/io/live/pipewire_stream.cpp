#include "io/live/pipewire_stream.h"

#include <fmt/format.h>
#include <pipewire/pipewire.h>
#include <spa/param/audio/format-utils.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <chrono>
#include <optional>
#include <thread>
#include <utility>

#include "base/error.h"
#include "io/live/capture_writer.h"

namespace brink::io {
namespace {

using base::Error;
using std::chrono::milliseconds;

constexpr milliseconds kPortsWithin(3000);  // a session manager gives a new stream its ports
constexpr milliseconds kLook(5);

/// Samples that the graph's clock passed over. [audio]
class GraphClock {
 public:
  /// Before a new run, whose clock may be another one. [any]
  void restart() noexcept { is_new_run_.store(true); }

  /// `ticks`: the graph's clock at this block. A change of the block's length is no loss.
  [[nodiscard]] std::size_t missed(std::uint64_t ticks, std::size_t sample_count) noexcept {
    const std::size_t step = std::max(std::exchange(last_count_, sample_count), sample_count);
    const std::uint64_t due = std::exchange(last_ticks_, ticks) + step;
    const bool is_new = is_new_run_.exchange(false);
    return is_new || ticks <= due ? 0 : static_cast<std::size_t>(ticks - due);
  }

 private:
  std::uint64_t last_ticks_ = 0;
  std::size_t last_count_ = 0;
  std::atomic<bool> is_new_run_{true};
};

class PipewireStream final : public InputStream {
 public:
  PipewireStream(const CaptureMemory& memory,
                 const InputDevice& input,
                 std::unique_ptr<PipewireGraph> graph);
  ~PipewireStream() override;
  PipewireStream(const PipewireStream&) = delete;
  PipewireStream& operator=(const PipewireStream&) = delete;
  PipewireStream(PipewireStream&&) = delete;
  PipewireStream& operator=(PipewireStream&&) = delete;

  [[nodiscard]] bool is_active() override { return graph_->is_alive() && !has_failed_.load(); }

  [[nodiscard]] double sample_rate_hz() const override { return sample_rate_hz_; }

  void look_after(CaptureHeader& header) override;

 private:
  void connect();
  void wait_for_ports(const InputDevice& input);
  void join_first(const CaptureRequest& request, const InputDevice& input);
  void on_block() noexcept;

  CaptureWriter writer_;
  std::unique_ptr<PipewireGraph> graph_;
  std::size_t channel_count_;
  double sample_rate_hz_;
  bool is_at_graph_rate_;
  GraphClock clock_;
  pw_stream* stream_ = nullptr;
  spa_hook listener_{};
  std::uint32_t node_ = SPA_ID_INVALID;
  std::atomic<bool> has_failed_{false};
  std::optional<WantedJoins> wanted_;
  std::vector<Join> told_;
};

PipewireStream::PipewireStream(const CaptureMemory& memory,
                               const InputDevice& input,
                               std::unique_ptr<PipewireGraph> graph)
    : writer_(memory),
      graph_(std::move(graph)),
      channel_count_(memory.header().request.channel_count),
      sample_rate_hz_(wanted_rate_hz(memory.header().request, input)),
      is_at_graph_rate_(sample_rate_hz_ == input.default_rate_hz) {
  check_channels(memory.header().request, input);
  connect();
  try {
    wait_for_ports(input);
    join_first(memory.header().request, input);
  } catch (...) {
    const LoopLock lock(graph_->loop());
    pw_stream_destroy(stream_);
    throw;
  }
}

PipewireStream::~PipewireStream() {
  const LoopLock lock(graph_->loop());
  pw_stream_destroy(stream_);
}

void PipewireStream::connect() {
  const LoopLock lock(graph_->loop());
  stream_ = pw_stream_new(graph_->core(),
                          "brink",
                          pw_properties_new(PW_KEY_MEDIA_TYPE,
                                            "Audio",
                                            PW_KEY_MEDIA_CATEGORY,
                                            "Capture",
                                            PW_KEY_NODE_NAME,
                                            "brink",
                                            PW_KEY_NODE_AUTOCONNECT,
                                            "false",
                                            nullptr));
  if (stream_ == nullptr) {
    throw Error("PipeWire does not take another stream.");
  }
  static const pw_stream_events kEvents = [] {
    pw_stream_events events{};
    events.version = PW_VERSION_STREAM_EVENTS;
    events.state_changed =
        [](void* self, pw_stream_state /*old*/, pw_stream_state state, const char* /*error*/) {
          auto& stream = *static_cast<PipewireStream*>(self);
          if (state == PW_STREAM_STATE_STREAMING) {
            stream.clock_.restart();
          } else if (state == PW_STREAM_STATE_ERROR || state == PW_STREAM_STATE_UNCONNECTED) {
            stream.has_failed_.store(true);
          }
        };
    events.process = [](void* self) { static_cast<PipewireStream*>(self)->on_block(); };
    return events;
  }();
  pw_stream_add_listener(stream_, &listener_, &kEvents, this);
  spa_audio_info_raw format{};
  format.format = SPA_AUDIO_FORMAT_F32;
  format.rate = static_cast<std::uint32_t>(sample_rate_hz_);
  format.channels = static_cast<std::uint32_t>(channel_count_);
  // Channels without a place in a room, so that none is mixed into another.
  for (std::uint32_t channel = 0; channel < format.channels; ++channel) {
    format.position[channel] = SPA_AUDIO_CHANNEL_AUX0 + channel;
  }
  std::array<std::uint8_t, 1024> bytes{};
  spa_pod_builder builder{};
  spa_pod_builder_init(&builder, bytes.data(), bytes.size());
  std::array<const spa_pod*, 1> parameters{
      spa_format_audio_raw_build(&builder, SPA_PARAM_EnumFormat, &format)};
  const auto flags =
      static_cast<pw_stream_flags>(PW_STREAM_FLAG_MAP_BUFFERS | PW_STREAM_FLAG_RT_PROCESS);
  if (pw_stream_connect(stream_,
                        PW_DIRECTION_INPUT,
                        PW_ID_ANY,
                        flags,
                        parameters.data(),
                        static_cast<std::uint32_t>(parameters.size())) < 0) {
    throw Error("PipeWire refused the stream.");
  }
}

void PipewireStream::wait_for_ports(const InputDevice& input) {
  const auto until = std::chrono::steady_clock::now() + kPortsWithin;
  while (node_ == SPA_ID_INVALID || graph_->input_count(node_) < static_cast<int>(channel_count_)) {
    if (!is_active() || std::chrono::steady_clock::now() > until) {
      throw Error(
          fmt::format("{}: it could not be opened; PipeWire gave no ports, so check that its "
                      "session manager runs.",
                      input.label()));
    }
    std::this_thread::sleep_for(kLook);
    const LoopLock lock(graph_->loop());
    node_ = pw_stream_get_node_id(stream_);
  }
}

/// To the wanted input's channels, or as an earlier run was joined.
void PipewireStream::join_first(const CaptureRequest& request, const InputDevice& input) {
  std::vector<Join> joins = joins_from_lines(to_string(request.joins));
  if (!request.has_joins) {
    const std::vector<std::string> ports = graph_->source_ports(input.id);
    for (std::size_t channel = 0; channel < std::min(channel_count_, ports.size()); ++channel) {
      joins.push_back({static_cast<int>(channel), ports[channel]});
    }
  }
  wanted_.emplace(std::move(joins));
}

void PipewireStream::look_after(CaptureHeader& header) {
  const WantedJoins::Work work = wanted_->look(
      graph_->joins(node_), [&](const std::string& name) { return graph_->has_port(name); });
  for (const Join& join : work.undo) {
    graph_->undo(node_, join);
  }
  for (const Join& join : work.make) {
    graph_->make(node_, join);
  }
  if (std::vector<Join> now = wanted_->all(); now != told_) {
    told_ = std::move(now);
    tell_joins(header, to_lines(told_));
  }
  header.is_joined.store(wanted_->is_joined());
}

void PipewireStream::on_block() noexcept {
  pw_buffer* const buffer = pw_stream_dequeue_buffer(stream_);
  if (buffer == nullptr) {
    return;
  }
  const spa_data& data = buffer->buffer->datas[0];
  if (data.data != nullptr && data.chunk != nullptr) {
    const std::size_t offset = std::min(data.chunk->offset, data.maxsize);
    const std::size_t bytes = std::min<std::size_t>(data.chunk->size, data.maxsize - offset);
    const std::size_t sample_count = bytes / (sizeof(float) * channel_count_);
    pw_time time{};
    if (is_at_graph_rate_ && pw_stream_get_time_n(stream_, &time, sizeof(time)) == 0) {
      const std::size_t missed = clock_.missed(time.ticks, sample_count);
      if (missed > 0) {
        writer_.on_block(nullptr, missed);
      }
    }
    const auto* const start = static_cast<const std::uint8_t*>(data.data) + offset;
    writer_.on_block(reinterpret_cast<const float*>(start), sample_count);
  }
  pw_stream_queue_buffer(stream_, buffer);
}

}  // namespace

std::unique_ptr<InputStream> open_pipewire_input(const CaptureMemory& memory,
                                                 const InputDevice& input,
                                                 std::unique_ptr<PipewireGraph> graph) {
  return std::make_unique<PipewireStream>(memory, input, std::move(graph));
}

}  // namespace brink::io
