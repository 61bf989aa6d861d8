#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <array>
#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/listen_page.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "cli/standard_streams.h"
#include "cli/tap_list.h"
#include "desk/microphones.h"
#include "io/live/capture.h"
#include "io/live/inputs.h"
#include "io/live/raw_input.h"
#include "io/osc_sender.h"
#include "io/paths.h"
#include "io/process.h"
#include "io/sound_file.h"
#include "io/waiting.h"
#include "listen/session.h"
#include "report/event_json.h"
#include "report/event_osc.h"

namespace brink::cli {
namespace {

using base::Error;

struct ListenOptions {
  std::string input;
  int channels = 0;
  std::string taps;
  double rate_hz = 0.0;
  bool is_stdin = false;
  std::string sample_format;
  std::string record;
  std::string osc;
  std::string names;
  PageOptions page;
  double sure = 0.0;
  double levels_hz = 0.0;  // 0: no levels
  bool foresees = false;
  bool fails_on_ring = false;
  bool is_quiet = false;
};

io::RawInputConfig raw_config(const ListenOptions& options) {
  if (!options.input.empty()) {
    throw Error("--stdin and --input are two different sources; take one of them.");
  }
  if (options.rate_hz == 0.0) {
    throw Error("Samples on stdin carry no sample rate; give it with --rate.");
  }
  if (!has_stdin()) {
    throw Error("--stdin takes raw samples, and stdin is closed; give it a pipe or a file.");
  }
  if (is_terminal(io::kStdin)) {
    throw Error("--stdin takes raw samples from a pipe or a file, and stdin is a terminal.");
  }
  const std::string word = options.sample_format.empty() ? "f32" : options.sample_format;
  const std::optional<io::RawFormat> format = io::to_raw_format(word);
  if (!format) {
    throw Error(fmt::format("--sample-format takes f32, s16, s24 or s32, not '{}'.",
                            base::printable(word)));
  }
  io::RawInputConfig config;
  config.sample_rate_hz = options.rate_hz;
  config.taps = to_taps(options.taps);
  if (options.channels == 0 && !config.taps.empty() && config.taps.back() > 1) {
    throw Error(
        "Samples on stdin do not say how many channels they are; give it with --channels when a "
        "tap above 1 is listened to.");
  }
  config.channels = std::max(1, options.channels);
  config.format = *format;
  return config;
}

int usual_channels(const ListenOptions& options) {
  const std::vector<io::InputDevice> inputs = io::list_inputs(io::this_program());
  return io::find_input(inputs, options.input).usual_channels();
}

io::CaptureConfig capture_config(const ListenOptions& options) {
  if (!options.sample_format.empty()) {
    throw Error("--sample-format is for samples on stdin; a device says itself what it sends.");
  }
  io::CaptureConfig config;
  config.input = options.input;
  config.sample_rate_hz = options.rate_hz;
  config.channels = options.channels;
  config.taps = to_taps(options.taps);
  if (config.taps.empty()) {
    config.taps = first_taps(options.channels > 0 ? options.channels : usual_channels(options));
  }
  return config;
}

void spare_recording(const std::string& path) {
  std::error_code error;
  if (!path.empty() && std::filesystem::exists(io::to_path(path), error)) {
    throw Error(fmt::format("{}: there is such a file already; choose another name for --record.",
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
  [[nodiscard]] std::unique_ptr<io::Source> open_source();
  void greet(const listen::Session& session) const;
  /// False when nobody reads any more.
  [[nodiscard]] bool hand_out(listen::Session& session);
  void send(const show::SessionEvent& event);
  [[nodiscard]] bool hand_out_levels(listen::Session& session);
  [[nodiscard]] bool hand_out_forecasts(listen::Session& session);
  void watch_recording(const listen::Session& session);
  void watch_numbers(listen::Session& session);
  void watch_copies(listen::Session& session);
  void close(listen::Session& session);

  void fail(const std::string& sentence) {
    say(sentence);
    status_ = kBadInput;
  }

  const ListenOptions& options_;
  show::ChannelNames names_;
  Output output_{std::string()};
  std::optional<io::OscSender> osc_;
  std::optional<ListenPage> page_;
  const io::RawInput* raw_ = nullptr;  // the session's
  bool is_read_ = true;                // somebody reads stdout
  bool has_rung_ = false;
  double levels_due_s_ = 0.0;                 // stream time
  std::vector<std::int64_t> told_forecasts_;  // serial of each tap's
  bool has_recording_fault_ = false;
  bool has_osc_fault_ = false;
  bool has_told_of_numbers_ = false;
  std::set<int> told_copies_;
  int status_ = kDone;
};

std::unique_ptr<io::Source> ListenRun::open_source() {
  if (options_.is_stdin) {
    auto source = std::make_unique<io::RawInput>(io::kStdin, "stdin", raw_config(options_));
    raw_ = source.get();
    return source;
  }
  return std::make_unique<io::Capture>(capture_config(options_));
}

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
    fail(
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

void ListenRun::watch_recording(const listen::Session& session) {
  if (!has_recording_fault_ && session.recording_fault()) {
    has_recording_fault_ = true;
    fail(*session.recording_fault() + " Listening goes on without the recording.");
  }
}

std::int64_t count_non_finite(const listen::Snapshot& snapshot) {
  std::int64_t count = 0;
  for (const listen::TapSnapshot& tap : snapshot.taps) {
    count += tap.counts.non_finite;
  }
  return count;
}

/// Says it while it happens. How many there were is told at the end.
void ListenRun::watch_numbers(listen::Session& session) {
  if (!has_told_of_numbers_ && count_non_finite(session.newest()) > 0) {
    has_told_of_numbers_ = true;
    say("samples come that are no numbers (NaN or infinite); they are taken as silence.");
  }
}

/// Says once of each tap that it carries another's sound.
void ListenRun::watch_copies(listen::Session& session) {
  for (const listen::TapSnapshot& tap : session.newest().taps) {
    if (tap.copy_of != 0 && told_copies_.insert(tap.tap).second) {
      say(show::tap_fault_words(tap.tap, names_, false, false, tap.copy_of) + ".");
    }
  }
}

/// What the user should know at the end.
void ListenRun::close(listen::Session& session) {
  const listen::Snapshot& last = session.newest();
  const std::int64_t non_finite = count_non_finite(last);
  if (last.lost_events > 0) {
    fail(fmt::format("{} events were lost, as nobody read them in time.", last.lost_events));
  }
  const auto all = last.samples * static_cast<std::int64_t>(last.taps.size());
  if (non_finite > 0) {
    const bool are_all = non_finite == all;
    const std::string sentence =
        fmt::format("{} of {} samples were no numbers (NaN or infinite) and were taken as silence.",
                    non_finite,
                    all);
    are_all ? fail(sentence) : say(sentence);
  }
  if (raw_ != nullptr && last.samples == 0 && is_read_ && interrupt_signal() == 0) {
    fail("no samples came on stdin.");
  } else if (raw_ != nullptr && raw_->left_over_bytes() > 0) {
    say(
        fmt::format("the last {} bytes on stdin made no whole sample; check --sample-format and "
                    "--channels.",
                    raw_->left_over_bytes()));
  }
}

int ListenRun::run() {
  spare_recording(options_.record);
  if (!options_.osc.empty()) {
    osc_.emplace(options_.osc);
  }
  Bell bell;
  catch_interrupts();
  listen::SessionConfig config;
  config.record_path = options_.record;
  config.sure = options_.sure;
  config.outputs = names_.outputs();
  config.forecasts = options_.foresees ? io::kMostChannels : 0;
  config.on_news = [&bell] { bell.ring(); };
  std::unique_ptr<io::Source> source = open_source();
  if (source->is_live()) {
    config.calibrations =
        desk::calibrations_of(desk::load_microphones(desk::microphones_path()), source->name());
  }
  listen::Session session(std::move(source), config);
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
    watch_recording(session);
    if (!is_over) {
      watch_numbers(session);
      watch_copies(session);
    }
    if (!is_read_ || interrupt_signal() != 0) {
      session.stop();
    }
    if (!is_over) {
      bell.wait();
      is_read_ = is_read_ && io::has_reader(io::kStdout);
    }
  }
  close(session);
  const bool has_findings = options_.fails_on_ring && has_rung_;
  return status_ == kDone && has_findings ? kFindings : status_;
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink listen\n"
    "  brink listen --input \"front mic\" --taps 1,3 --record soundcheck.wav\n"
    "  brink listen --osc 192.168.1.20:9000\n"
    "  brink listen --page\n"
    "  arecord -q -f S16_LE -r 48000 -c 2 | brink listen --stdin --rate 48000 \\\n"
    "      --sample-format s16 --channels 2\n"
    "\n"
    "Prints one JSON object a line as things happen (schema brink/event/1). Ctrl-C ends it.\n"
    "Exit status: 0 done; 1 something rang (with --fail-on-ring); 2 bad input or use, or a\n"
    "recording that broke off.";

}  // namespace

void add_listen(CLI::App& app, Work& work) {
  const auto options = std::make_shared<ListenOptions>();
  CLI::App* const command =
      app.add_subcommand("listen", "Find rings live, one line for each as it happens");
  command->add_option("--input", options->input, "Device to listen to, as 'brink inputs' lists it")
      ->type_name("NAME|NUMBER");
  command
      ->add_option("--channels",
                   options->channels,
                   "How many channels to take from the input; all of a device's "
                   "when left out, one of stdin")
      ->type_name("N")
      ->check(number_in(1, io::kMostChannels));
  command->add_option("--taps", options->taps, "Which of them to listen to, as 1,3-5 (all)")
      ->type_name("LIST");
  command->add_option("--rate", options->rate_hz, "Sample rate; a device's own when left out")
      ->type_name("HZ")
      ->check(number_in(8000.0, 192000.0));
  command->add_flag("--stdin", options->is_stdin, "Listen to raw samples on stdin");
  command
      ->add_option("--sample-format",
                   options->sample_format,
                   "Of stdin, little-endian: f32, s16, s24 or s32 (f32)")
      ->type_name("FORMAT");
  command->add_option("--record", options->record, "Keep what is heard in a new WAV file")
      ->type_name("FILE")
      ->check(not_empty());
  command->add_option("--osc", options->osc, "Send each event as Open Sound Control over UDP")
      ->type_name("HOST:PORT")
      ->check(not_empty());
  command
      ->add_option("--levels",
                   options->levels_hz,
                   "Also a line with the level of each tap, so many times a second, 0.1 to 20")
      ->type_name("HZ")
      ->check(number_in(0.1, 20.0));
  add_names(*command, options->names);
  add_page(*command, options->page);
  command->add_flag(
      "--forecast",
      options->foresees,
      "Also a line every few seconds with what would ring next, and how many dB are left");
  add_sure(*command, options->sure);
  command->add_flag(
      "--fail-on-ring", options->fails_on_ring, "Exit with status 1 when anything rang");
  command->add_flag("--quiet", options->is_quiet, "No greeting on the screen");
  command->footer(kExamples);
  command->callback([options, &work] { work = [options] { return ListenRun(*options).run(); }; });
}

}  // namespace brink::cli
