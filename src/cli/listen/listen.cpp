#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command.h"
#include "cli/listen/listen_run.h"
#include "cli/option_checks.h"
#include "cli/tap_list.h"
#include "io/sound_file.h"

namespace brink::cli {
namespace {

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
  command->callback([options, &work] { work = [options] { return run_listen(*options); }; });
}

}  // namespace brink::cli
