#include "cli/listen/listen_run.h"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <filesystem>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/listen/listen_source.h"
#include "cli/listen/listen_warnings.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/standard_streams.h"
#include "desk/microphones.h"
#include "io/files.h"
#include "io/osc_sender.h"
#include "io/paths.h"
#include "io/sound_file.h"
#include "io/waiting.h"
#include "report/event_json.h"
#include "report/event_osc.h"

namespace brink::cli {
namespace {

void spare_recording(const std::string& path) {
  std::error_code error;
  if (!path.empty() && std::filesystem::exists(io::to_path(path), error)) {
    throw base::Error(
        fmt::format("{}: there is such a file already; choose another name for --record.",
                    base::printable(path)));
  }
}

/// Wakes the main thread from the analysis thread.
class Bell {
 public:
  void ring() {
    const std::lock_guard lock(mutex_);
    has_rung_ = true;
    rung_.notify_one();
  }

  /// Waits for a ring, or 0.2 s, so that a signal is soon seen.
  void wait() {
    constexpr std::chrono::milliseconds kPatience(200);
    std::unique_lock lock(mutex_);
    rung_.wait_for(lock, kPatience, [this] { return has_rung_; });
    has_rung_ = false;
  }

 private:
  std::mutex mutex_;
  std::condition_variable rung_;
  bool has_rung_ = false;
};

class ListenRun {
 public:
  explicit ListenRun(const ListenOptions& options)
      : options_(options), names_(read_names(options.names)) {}

  int run();

 private:
  [[nodiscard]] listen::SessionConfig session_config(const io::Source& source, Bell& bell) const;
  void greet(const listen::Session& session) const;
  /// False when nobody reads any more.
  [[nodiscard]] bool hand_out(listen::Session& session);
  void send(const show::SessionEvent& event);
  [[nodiscard]] bool hand_out_levels(listen::Session& session);
  [[nodiscard]] bool hand_out_forecasts(listen::Session& session);

  const ListenOptions& options_;
  show::ChannelNames names_;
  ListenWarnings warnings_{names_};
  Output output_{std::string()};
  std::optional<io::OscSender> osc_;
  std::optional<ListenPage> page_;
  bool is_read_ = true;  // somebody reads stdout
  bool has_rung_ = false;
  double levels_due_s_ = 0.0;                 // stream time
  std::vector<std::int64_t> told_forecasts_;  // serial of each tap's
  bool has_osc_fault_ = false;
};

void ListenRun::greet(const listen::Session& session) const {
  if (options_.is_quiet || !is_terminal(io::kStderr)) {
    return;
  }
  std::string taps;
  for (const int tap : session.taps()) {
    taps += fmt::format("{}{}", taps.empty() ? "" : ", ", tap);
  }
  say(fmt::format("listening to {}, channel{} {}, at {:g} kHz; Ctrl-C ends it.",
                  base::printable(session.source_name()),
                  session.taps().size() == 1 ? "" : "s",
                  taps,
                  session.sample_rate_hz() / 1000.0));
}

void ListenRun::send(const show::SessionEvent& event) {
  const report::EventMessage message = report::event_osc(event, names_);
  if (!osc_->send(message.address, message.values) && !has_osc_fault_) {
    has_osc_fault_ = true;
    warnings_.fail(
        fmt::format("--osc: an event could not be sent to {} ({}); listening goes on, and this is "
                    "said once.",
                    base::printable(options_.osc),
                    std::generic_category().message(errno)));
  }
}

bool ListenRun::hand_out(listen::Session& session) {
  std::array<show::SessionEvent, 64> events;
  std::size_t count = 0;
  while ((count = session.take_events(events)) > 0) {
    for (const show::SessionEvent& event : std::span(events).first(count)) {
      has_rung_ = has_rung_ || event.kind == show::EventKind::kRinging;
      if (osc_) {
        send(event);
      }
      if (page_) {
        page_->hear(event);
      }
      if (!output_.write(report::event_json(event, names_))) {
        return false;
      }
    }
  }
  return true;
}

/// By stream time, so that a fast pipe gives as many for each second of sound, as far as there is a
/// new snapshot.
bool ListenRun::hand_out_levels(listen::Session& session) {
  if (options_.levels_hz <= 0.0) {
    return true;
  }
  const listen::Snapshot& newest = session.newest();
  const double stream_s = static_cast<double>(newest.samples) / session.sample_rate_hz();
  if (newest.serial == 0 || stream_s < levels_due_s_) {
    return true;
  }
  levels_due_s_ = stream_s + 1.0 / options_.levels_hz;
  return output_.write(
      report::levels_json(newest, session.sample_rate_hz(), std::chrono::system_clock::now()));
}

/// Of each tap when it is new.
bool ListenRun::hand_out_forecasts(listen::Session& session) {
  if (!options_.foresees) {
    return true;
  }
  const listen::Snapshot& newest = session.newest();
  const double stream_s = static_cast<double>(newest.samples) / session.sample_rate_hz();
  told_forecasts_.resize(newest.taps.size());
  for (std::size_t t = 0; t < newest.taps.size(); ++t) {
    const listen::TapSnapshot& tap = newest.taps[t];
    const bool is_new =
        std::exchange(told_forecasts_[t], tap.forecast.serial) != tap.forecast.serial;
    if (is_new &&
        !output_.write(report::forecast_json(tap, stream_s, std::chrono::system_clock::now()))) {
      return false;
    }
  }
  return true;
}

listen::SessionConfig ListenRun::session_config(const io::Source& source, Bell& bell) const {
  listen::SessionConfig config;
  config.record_path = options_.record;
  config.sure = options_.sure;
  config.outputs = names_.outputs();
  config.has_pictures = options_.page.is_wanted;
  config.forecasts = options_.foresees ? io::kMostChannels : 0;
  config.on_news = [&bell] { bell.ring(); };
  if (source.is_live()) {
    config.calibrations =
        desk::calibrations_of(desk::load_microphones(desk::microphones_path()), source.name());
  }
  return config;
}

int ListenRun::run() {
  spare_recording(options_.record);
  if (!options_.osc.empty()) {
    osc_.emplace(options_.osc);
  }
  Bell bell;
  catch_interrupts();
  ListenSource opened = open_source(options_);
  const listen::SessionConfig config = session_config(*opened.source, bell);
  listen::Session session(std::move(opened.source), config);
  if (options_.page.is_wanted) {
    page_.emplace(options_.page, names_, options_.is_quiet);
  }
  greet(session);
  bool is_over = false;
  while (!is_over) {
    is_over = session.is_over();  // asked first: then what waits is all there will be
    is_read_ =
        is_read_ && hand_out(session) && hand_out_levels(session) && hand_out_forecasts(session);
    if (page_) {
      page_->follow(session);
    }
    warnings_.watch_recording(session);
    if (!is_over) {
      warnings_.watch(session);
    }
    if (!is_read_ || interrupt_signal() != 0) {
      session.stop();
    }
    if (!is_over) {
      bell.wait();
      is_read_ = is_read_ && io::has_reader(io::kStdout);
    }
  }
  warnings_.close(session, opened.raw, !is_read_ || interrupt_signal() != 0);
  if (warnings_.has_failed()) {
    return kBadInput;
  }
  return options_.fails_on_ring && has_rung_ ? kFindings : kDone;
}

}  // namespace

int run_listen(const ListenOptions& options) {
  return ListenRun(options).run();
}

}  // namespace brink::cli
