#include "cli/stage/sweep_take.h"

#include <fmt/format.h>

#include "base/error.h"
#include "cli/interrupt.h"
#include "cli/line_input.h"
#include "cli/output.h"

namespace brink::cli {
namespace {

using Outcome = LineInput::Outcome;
using Phase = desk::SweepRun::Phase;

void greet(double length_s, double level_dbfs) {
  say("shut the microphone's way to this output (mute its send), clear the stage, protect your "
      "ears, keep a hand on the amplifier's level: a sweep can hurt ears and drivers. By the "
      "exposure guide of NIOSH 85 dBA may be heard for 8 hours a day, half as long for every 3 "
      "dB more; local rules and qualified people come first.");
  say(
      fmt::format("it lasts {:.0f} s at {:g} dBFS. Enter begins; Enter again, Ctrl-C or the end "
                  "of stdin stops it.",
                  length_s,
                  level_dbfs));
}

[[noreturn]] void stop(desk::SweepRun& run, const char* why) {
  run.stop();
  throw base::Error(why);
}

Phase step(desk::SweepRun& run) {
  if (interrupt_signal() != 0) {
    stop(run, "stopped.");
  }
  return run.step();
}

void wait_for_go(desk::SweepRun& run, LineInput& input) {
  std::string line;
  Outcome outcome = Outcome::kNothingYet;
  while (outcome == Outcome::kNothingYet || run.phase() == Phase::kStarting) {
    if (outcome == Outcome::kNothingYet) {
      outcome = input.next(line, 0);
    }
    step(run);
  }
  if (outcome == Outcome::kEnd) {
    stop(run, "stdin ended before a line came: nothing was played.");
  }
}

}  // namespace

desk::SweepTake take_sweep(const desk::LiveSweepOptions& options, double level_dbfs) {
  if (options.channel == options.reference_channel) {
    throw base::Error(
        "--channel and --reference are one and the same; the reference is what is sent.");
  }
  catch_interrupts();
  desk::LiveSweepWay way(options);
  desk::SweepRun run(way);
  LineInput input;
  greet(way.signal().length_s(), level_dbfs);
  wait_for_go(run, input);
  run.begin(level_dbfs);
  std::string line;
  while (step(run) != Phase::kDone) {
    if (run.phase() == Phase::kPlaying && input.next(line, 0) != Outcome::kNothingYet) {
      stop(run, "stopped; nothing was measured.");
    }
  }
  return run.take();
}

}  // namespace brink::cli
