#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <memory>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "base/time_of_day.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "desk/microphones.h"
#include "io/live/capture.h"
#include "listen/calibrator_tone.h"

namespace brink::cli {
namespace {

constexpr double kLengthS = 5.0;
constexpr double kSettleS = 0.5;  // what comes first may be a fade of the sound system
constexpr double kPatienceS = 20.0;

struct CalibrateOptions {
  std::string input;
  int tap = 1;
  double level_db = 94.0;
  std::string response;
};

/// The next seconds of an input. Throws base::Error when they do not come without a gap.
std::vector<float> hear(io::Capture& capture) {
  const auto wanted = static_cast<std::size_t>((kSettleS + kLengthS) * capture.sample_rate_hz());
  std::vector<float> samples;
  std::vector<float> block(8192);
  const auto begun = std::chrono::steady_clock::now();
  while (samples.size() < wanted && interrupt_signal() == 0) {
    const io::SourceReading reading = capture.read(block);
    const auto waited = std::chrono::steady_clock::now() - begun;
    const bool is_broken = reading.health != io::InputHealth::kRunning ||
                           reading.lost_samples > 0 || reading.gap_reports > 0;
    if (is_broken || waited > std::chrono::duration<double>(kPatienceS)) {
      throw base::Error("The input broke off while the calibrator was heard; try again.");
    }
    samples.insert(
        samples.end(), block.begin(), block.begin() + static_cast<std::ptrdiff_t>(reading.samples));
  }
  return samples;
}

int calibrate(const CalibrateOptions& options) {
  desk::CalibratedMicrophone microphone;
  if (!options.response.empty()) {
    microphone.calibration.response = desk::read_response(options.response);
  }
  catch_interrupts();
  io::CaptureConfig config;
  config.input = options.input;
  config.taps = {options.tap};
  io::Capture capture(config);
  say(fmt::format("listening to the calibrator on {}, channel {}, for {:g} s.",
                  base::printable(capture.name()),
                  options.tap,
                  kLengthS));
  const std::vector<float> samples = hear(capture);
  if (interrupt_signal() != 0) {
    return 128 + interrupt_signal();
  }
  const auto settle = static_cast<std::size_t>(kSettleS * capture.sample_rate_hz());
  const double tone_dbfs =
      listen::calibrator_tone_dbfs(std::span(samples).subspan(settle), capture.sample_rate_hz());
  microphone.input = capture.name();
  microphone.channel = options.tap;
  microphone.date = base::wall_text(std::chrono::system_clock::now()).substr(0, 10);
  microphone.calibration.full_scale_db_spl = options.level_db - tone_dbfs;
  desk::remember_microphone(desk::microphones_path(), microphone);
  Output output{std::string()};
  const std::string text = fmt::format("{}, channel {}: {:g} dB SPL is {:.1f} dBFS; remembered.\n",
                                       base::printable(capture.name()),
                                       options.tap,
                                       options.level_db,
                                       tone_dbfs);
  if (output.write(text)) {
    output.finish();
  }
  return kDone;
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink calibrate --input \"Stage Mic\" --level 94\n"
    "  brink calibrate --input 2 --tap 3 --level 114 --response mic.txt\n"
    "\n"
    "Put the calibrator on the microphone and switch it on before. From then on 'brink listen\n"
    "--levels' tells sound pressure for that channel of that input. It holds as long as nobody\n"
    "turns the input's gain. The response file has two columns, Hz and dB.";

}  // namespace

void add_calibrate(CLI::App& app, Work& work) {
  const auto options = std::make_shared<CalibrateOptions>();
  CLI::App* const command =
      app.add_subcommand("calibrate", "Learn a microphone's sound pressure from a calibrator");
  command->add_option("--input", options->input, "Device, as 'brink inputs' lists it")
      ->type_name("NAME|NUMBER");
  command->add_option("--tap", options->tap, "The microphone's channel (1)")
      ->type_name("N")
      ->check(number_in(1, 64));
  command
      ->add_option("--level", options->level_db, "What the calibrator gives, dB SPL at 1 kHz (94)")
      ->type_name("DB")
      ->check(number_in(70.0, 130.0));
  command->add_option("--response", options->response, "The microphone's frequency response")
      ->type_name("FILE")
      ->check(not_empty());
  command->footer(kExamples);
  command->callback([options, &work] { work = [options] { return calibrate(*options); }; });
}

}  // namespace brink::cli
