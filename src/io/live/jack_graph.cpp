#include "io/live/jack_graph.h"

#include <dlfcn.h>
#include <jack/jack.h>
#include <pa_jack.h>
#include <portaudio.h>

#include <string_view>
#include <utility>

#include "base/error.h"

namespace brink::io {

void name_jack_client(const char* name) {
  PaJack_SetClientName(name);
}

bool is_jack_of_pipewire() {
  Dl_info info{};
  return dladdr(reinterpret_cast<const void*>(&jack_client_open), &info) != 0 &&
         info.dli_fname != nullptr &&
         std::string_view(info.dli_fname).find("pipewire") != std::string_view::npos;
}

JackGraph::JackGraph() : client_(jack_client_open("brink-graph", JackNoStartServer, nullptr)) {
  if (client_ == nullptr) {
    throw base::Error("The JACK server does not take another client.");
  }
  rate_hz_ = jack_get_sample_rate(client_);
  const char* name = nullptr;
  if (PaJack_GetClientName(&name) == paNoError && name != nullptr) {
    captures_name_ = name;
  }
}

JackGraph::~JackGraph() {
  jack_client_close(client_);
}

JackGraph::Missing JackGraph::look(std::size_t sample_count, bool is_late) noexcept {
  constexpr jack_nframes_t kBack = jack_nframes_t{1} << 31U;
  const jack_nframes_t begin = jack_last_frame_time(client_);
  // The clock may wrap. One that was set back says nothing.
  const jack_nframes_t step = has_next_ ? begin - next_ : 0;
  const jack_nframes_t missed = step < kBack ? step : 0;
  next_ = begin + static_cast<jack_nframes_t>(sample_count);
  has_next_ = true;
  counted_s_ += static_cast<double>(missed) / rate_hz_;
  const double clock_s = static_cast<double>(jack_get_time()) * 1e-6;
  const bool has_lost = late_cycles_.look(clock_s, counted_s_, is_late);
  counted_s_ += static_cast<double>(sample_count) / rate_hz_;
  return {missed, has_lost};
}

/// The name that PortAudio gives to an input of ours.
std::string JackGraph::port_name(int channel) const {
  return captures_name_ + ":in_" + std::to_string(channel);
}

std::vector<Join> JackGraph::joins() const {
  std::vector<Join> joins;
  for (int channel = 0;; ++channel) {
    const jack_port_t* const port = jack_port_by_name(client_, port_name(channel).c_str());
    if (port == nullptr) {
      return joins;
    }
    const char** const sources = jack_port_get_all_connections(client_, port);
    for (const char** source = sources; source != nullptr && *source != nullptr; ++source) {
      joins.push_back({channel, *source});
    }
    jack_free(sources);
  }
}

void JackGraph::keep_joined(CaptureHeader& header) {
  if (!wanted_) {
    const bool has_joins = header.request.has_joins;
    wanted_ =
        has_joins ? WantedJoins(joins_from_lines(to_string(header.request.joins))) : WantedJoins();
  }
  const auto has_port = [&](const std::string& name) {
    return jack_port_by_name(client_, name.c_str()) != nullptr;
  };
  const WantedJoins::Work work = wanted_->look(joins(), has_port);
  for (const Join& join : work.undo) {
    jack_disconnect(client_, join.source.c_str(), port_name(join.channel).c_str());
  }
  for (const Join& join : work.make) {
    jack_connect(client_, join.source.c_str(), port_name(join.channel).c_str());
  }
  if (std::vector<Join> now = wanted_->all(); now != told_) {
    told_ = std::move(now);
    tell_joins(header, to_lines(told_));
  }
  header.is_joined.store(wanted_->is_joined());
}

}  // namespace brink::io
