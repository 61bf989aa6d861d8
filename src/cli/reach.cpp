#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

#include "base/error.h"
#include "cli/command.h"
#include "cli/option_checks.h"
#include "cli/output.h"
#include "desk/reach_form.h"
#include "report/reach_report.h"

namespace brink::cli {
namespace {

struct ReachCommand {
  report::ReachQuestion question;
  double critical_distance = 0.0;
  double room_constant = 0.0;
  double volume = 0.0;
  double t60_s = 0.0;
  double directivity = 1.0;
  std::string unit = "m";
  std::string format = "text";
  CLI::App* parsed = nullptr;
};

void refuse_directivity(const ReachCommand& command, const char* why) {
  if (command.parsed->count("--directivity") > 0) {
    throw base::Error(fmt::format(
        "--directivity goes with --room-constant, or with --volume and --t60: {}.", why));
  }
}

std::optional<double> critical_distance(const ReachCommand& command) {
  const bool by_distance = command.parsed->count("--critical-distance") > 0;
  const bool by_constant = command.parsed->count("--room-constant") > 0;
  const bool by_t60 = command.parsed->count("--volume") + command.parsed->count("--t60") > 0;
  if (static_cast<int>(by_distance) + static_cast<int>(by_constant) + static_cast<int>(by_t60) >
      1) {
    throw base::Error{
        "the room is given by --critical-distance, by --room-constant, or by --volume and --t60: "
        "one "
        "of them."};
  }
  if (by_distance) {
    refuse_directivity(command, "the critical distance has it in it already");
    return command.critical_distance;
  }
  if (by_constant) {
    return loop::critical_distance_from_room_constant(command.room_constant, command.directivity);
  }
  if (!by_t60) {
    refuse_directivity(command, "without a room there is no diffuse sound that it counts for");
    return std::nullopt;
  }
  if (command.parsed->count("--volume") == 0 || command.parsed->count("--t60") == 0) {
    throw base::Error{"--volume and --t60 belong together."};
  }
  return desk::critical_distance_from_t60(
      command.volume, command.t60_s, command.directivity, command.unit);
}

int answer(const ReachCommand& command) {
  report::ReachQuestion question = command.question;
  question.unit = command.unit;
  question.setup.critical_distance = critical_distance(command);
  const loop::Reach reach = loop::reach(question.setup);
  Output screen{""};
  (void)screen.write(command.format == "json" ? report::reach_json(question, reach)
                                              : report::reach_text(question, reach));
  screen.finish();
  return kDone;
}

constexpr const char* kExamples =
    "Examples:\n"
    "  brink reach --talker-to-microphone 0.3 --talker-to-listener 14 --microphone-to-loudspeaker "
    "6\n"
    "              --loudspeaker-to-listener 10 --open-microphones 4 --volume 800 --t60 1.2\n"
    "  brink reach --unit ft --talker-to-microphone 2 --talker-to-listener 128\n"
    "              --microphone-to-loudspeaker 45 --loudspeaker-to-listener 90\n"
    "              --open-microphones 3 --good-hearing 4 --critical-distance 31.2\n"
    "\n"
    "Without a room it reckons outdoors. All distances in one unit.\n";

}  // namespace

void add_reach(CLI::App& app, Work& work) {
  const auto options = std::make_shared<ReachCommand>();
  CLI::App* const command = app.add_subcommand(
      "reach", "Is there gain enough with these distances, and which move helps most?");
  options->parsed = command;
  loop::ReachSetup& setup = options->question.setup;
  const auto distance = [&](const char* name, double& value, const char* help) {
    return command->add_option(name, value, help)
        ->type_name("DISTANCE")
        ->check(finite_number())
        ->group("Distances");
  };
  distance("--talker-to-microphone", setup.talker_to_microphone, "Mouth to microphone")->required();
  distance("--talker-to-listener", setup.talker_to_listener, "Mouth to the farthest listener")
      ->required();
  distance("--microphone-to-loudspeaker",
           setup.microphone_to_loudspeaker,
           "Microphone to the nearest loudspeaker")
      ->required();
  distance("--loudspeaker-to-listener",
           setup.loudspeaker_to_listener,
           "Loudspeaker to the farthest listener")
      ->required();
  distance("--good-hearing", setup.good_hearing, "How near one hears the talker well without help")
      ->capture_default_str();
  command->add_option("--unit", options->unit, "Of all distances: m or ft")
      ->type_name("UNIT")
      ->check(one_of({"m", "ft"}))
      ->capture_default_str()
      ->group("Distances");
  const std::string room = "Room, one way or another; none outdoors";
  command
      ->add_option("--critical-distance",
                   options->critical_distance,
                   "Where direct and diffuse sound are equal")
      ->type_name("DISTANCE")
      ->check(finite_number())
      ->group(room);
  command
      ->add_option("--room-constant",
                   options->room_constant,
                   "Surface times absorption, in the unit squared")
      ->type_name("AREA")
      ->check(finite_number())
      ->group(room);
  command->add_option("--volume", options->volume, "Of the room, in the unit cubed")
      ->type_name("VOLUME")
      ->check(finite_number())
      ->group(room);
  command->add_option("--t60", options->t60_s, "Its reverberation time, seconds")
      ->type_name("S")
      ->check(finite_number())
      ->group(room);
  command
      ->add_option("--directivity",
                   options->directivity,
                   "Of the loudspeaker, with --room-constant or --t60")
      ->type_name("Q")
      ->check(finite_number())
      ->capture_default_str()
      ->group(room);
  command->add_option("--open-microphones", setup.open_microphones, "How many are open at once")
      ->type_name("N")
      ->check(number_in(1, 64))
      ->capture_default_str();
  command->add_option("--margin", setup.margin_db, "To stay below the brink, dB")
      ->type_name("DB")
      ->check(finite_number())
      ->capture_default_str();
  command->add_option("--format", options->format, "text or json")
      ->type_name("FORMAT")
      ->check(one_of({"text", "json"}))
      ->capture_default_str();
  command->footer(kExamples);
  command->callback([options, &work] { work = [options] { return answer(*options); }; });
}

}  // namespace brink::cli
