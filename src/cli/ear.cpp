#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command.h"
#include "cli/ear_run.h"
#include "cli/option_checks.h"

namespace brink::cli {
namespace {

constexpr const char* kExamples =
    "Examples:\n"
    "  brink ear --trainee Ada\n"
    "  brink ear --exercise voice,growing --count 20 --target monitor-desk.txt\n"
    "  brink ear --silent class --seed 7 --difficulty 3 --format json < guesses.txt\n"
    "\n"
    "Exercises: pure, voice, music, growing, two, noise, all. A guess is a frequency (2500,\n"
    "2.5k, 630 Hz) or a note (A4, Bb3, F#5+20); an empty line hears it again, s skips, q ends.\n"
    "Each guess gives one line on stdout. Begin with the headphones turned down. With --silent\n"
    "nothing is played: each exercise is a WAV file in DIR before its guess is read.\n"
    "Exit status: 0 done, 2 bad input or use. What scores mean: docs/ear.md.";

}  // namespace

void add_ear(CLI::App& app, Work& work) {
  const auto options = std::make_shared<EarOptions>();
  CLI::App* const command =
      app.add_subcommand("ear", "Train naming a ringing frequency by ear, with honest scores");
  command->add_option("--trainee", options->trainee, "Whose guesses these are")
      ->type_name("NAME")
      ->capture_default_str();
  command->add_option("--exercise", options->exercises, "What to hear, as pure,voice")
      ->type_name("LIST")
      ->delimiter(',')
      ->capture_default_str();
  command->add_flag("--notes", options->by_note, "Frequencies are piano pitches, answers too");
  command->add_option("--count", options->count, "How many exercises")
      ->type_name("N")
      ->check(number_in(1, 1000))
      ->capture_default_str();
  command->add_option("--seed", options->seed, "Repeat the session of this number")
      ->type_name("N")
      ->check(seed_number());
  command
      ->add_option("--difficulty",
                   options->difficulty,
                   "Stay at this one, 0 to 15, instead of going with the guesses")
      ->type_name("N")
      ->check(number_in(0, ear::kHighestLevel));
  command
      ->add_option("--target", options->target, "The equaliser for the guessed cuts: name or file")
      ->type_name("NAME|FILE")
      ->capture_default_str();
  command
      ->add_option("--level", options->level_db, "How loud, dB below the exercise's own, -60 to 0")
      ->type_name("DB")
      ->check(number_in(-60.0, 0.0))
      ->capture_default_str();
  command
      ->add_option("--silent", options->silent, "Play nothing; write the exercises as files here")
      ->type_name("DIR")
      ->check(not_empty());
  command->add_option("--format", options->format, "text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  command->add_option("--book", options->book, "Keep the guesses in this book")
      ->type_name("FILE")
      ->check(not_empty());
  command->add_flag(
      "--no-book", options->is_bookless, "Keep nothing, and begin as if for the first time");
  command->footer(kExamples);
  command->callback([options, &work] { work = [options] { return run_ear(*options); }; });
}

}  // namespace brink::cli
