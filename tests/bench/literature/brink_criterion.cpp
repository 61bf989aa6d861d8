// brink_criterion --criterion phpr-ipmp|fep|ninos2-t [--threshold T] FILE
// One published criterion over one recording, printed in the shape of `brink analyse --format json`
// so that the same script scores both. A comparator for the bench, no part of the program.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <exception>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "bench/literature/criterion.h"
#include "io/sound_file.h"

namespace {

using brink::bench::CriterionRun;

nlohmann::json to_json(brink::io::SoundReader& reader, std::vector<CriterionRun>& runs) {
  while (reader.next_block()) {
    for (int channel = 0; channel < reader.channels(); ++channel) {
      runs[static_cast<std::size_t>(channel)].push(reader.channel(channel));
    }
  }
  const double rate_hz = reader.sample_rate_hz();
  nlohmann::json rings = nlohmann::json::array();
  for (std::size_t channel = 0; channel < runs.size(); ++channel) {
    for (const auto& ring : runs[channel].rings()) {
      rings.push_back({{"channel", channel + 1},
                       {"frequency_hz", ring.frequency_hz},
                       {"flagged_s", static_cast<double>(ring.flagged_sample) / rate_hz}});
    }
  }
  return {{"schema", "brink/analysis/1"},
          {"file", reader.path()},
          {"sample_rate_hz", rate_hz},
          {"duration_s", static_cast<double>(reader.samples_read()) / rate_hz},
          {"channels", reader.channels()},
          {"rings", rings},
          {"cuts", nlohmann::json::array()}};
}

int run(int argc, char** argv) {
  CLI::App app{"A published howling criterion over a recording, for comparison"};
  std::string name;
  std::string file;
  brink::bench::CriterionOptions options;
  app.add_option("--criterion", name, "phpr-ipmp, fep or ninos2-t")
      ->required()
      ->check(CLI::IsMember({"phpr-ipmp", "fep", "ninos2-t"}));
  app.add_option("--threshold", options.threshold, "instead of the published one");
  app.add_option("FILE", file, "recording")->required();
  CLI11_PARSE(app, argc, argv);
  brink::io::SoundReader reader{file};
  options.sample_rate_hz = reader.sample_rate_hz();
  std::vector<CriterionRun> runs;
  runs.reserve(static_cast<std::size_t>(reader.channels()));
  for (int channel = 0; channel < reader.channels(); ++channel) {
    runs.emplace_back(make_criterion(name, options), options.sample_rate_hz);
  }
  fmt::print("{}\n", to_json(reader, runs).dump());
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "brink_criterion: %s\n", error.what());
    return 2;
  }
}
