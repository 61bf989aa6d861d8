#include "report/book/book_merge.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <stdexcept>
#include <utility>

#include "base/error.h"
#include "base/nearest_int.h"
#include "base/printable.h"
#include "io/book/kept_band.h"
#include "report/analysis/analysis_text.h"
#include "report/book/book_values.h"
#include "report/json_lines.h"
#include "show/record_key.h"

namespace brink::report {
namespace {

constexpr int kMostChannels = 64;

std::string base_name(const std::string& file) {
  const auto slash = file.find_last_of('/');
  return slash == std::string::npos ? file : file.substr(slash + 1);
}

/// The moment `stream_s` into the recording, where its beginning is known.
std::string moment(const MergeConfig& config, double stream_s) {
  constexpr double kLongestS = 1e7;  // four months
  if (!config.started || !(std::abs(stream_s) < kLongestS)) {
    return {};
  }
  base::TimeOfDay time = *config.started;
  time.unix_ms += std::llround(stream_s * 1000.0);
  return base::time_text(time);
}

show::RoundRecord parse_ring(const Json& json, const MergeConfig& config) {
  show::RoundRecord round;
  round.ring.frequency_hz = json.at("frequency_hz").get<double>();
  if (!(round.ring.frequency_hz > 0.0)) {
    throw std::invalid_argument("frequency_hz");
  }
  round.ring.frequency_sd_hz = json.value("frequency_sd_hz", 0.0);
  round.ring.growth_db_per_s = json.value("growth_db_per_s", 0.0);
  round.ring.peak_dbfs = json.value("peak_dbfs", 0.0);
  round.ring.confidence = json.value("confidence", 0.0);
  const double flagged_s = json.at("flagged_s").get<double>();
  round.ring.flagged_at = moment(config, flagged_s);
  const Json& cut = json.at("cut");
  round.proposed = io::kept_band(cut.at("centre_hz").get<double>(),
                                 cut.at("q").get<double>(),
                                 cut.at("depth_db").get<double>());
  round.note = fmt::format("{} into the recording", clock_text(flagged_s));
  return round;
}

/// One that never was certain, as `--all` writes it, has no cut.
bool is_certain(const Json& ring) {
  return ring.contains("cut") && !ring.at("cut").is_null();
}

std::vector<show::OutputRecord> parse_recording(const Json& json, const MergeConfig& config) {
  if (json.value("schema", "") != "brink/analysis/1") {
    throw std::invalid_argument("schema");
  }
  const auto file = json.at("file").get<std::string>();
  const auto channels = base::nearest_int(json.at("channels").get<double>());
  if (channels < 1 || channels > kMostChannels) {
    throw std::invalid_argument("channels");
  }
  const std::string name = config.output.empty() ? base_name(file) : config.output;
  std::vector<show::OutputRecord> outputs(static_cast<std::size_t>(channels));
  for (std::size_t i = 0; i < outputs.size(); ++i) {
    outputs[i].name = channels == 1 ? name : fmt::format("{}, channel {}", name, i + 1);
    outputs[i].note = fmt::format("from the recording {}", base_name(file));
  }
  for (const Json& ring : json.at("rings")) {
    if (is_certain(ring)) {
      const auto channel = base::nearest_int(ring.value("channel", 1.0));
      if (channel < 1 || channel > channels) {
        throw std::invalid_argument("channel");
      }
      outputs[static_cast<std::size_t>(channel) - 1].rounds.push_back(parse_ring(ring, config));
    }
  }
  for (const show::OutputRecord& output : outputs) {
    if (const std::string fault = fault_in(output); !fault.empty()) {
      throw base::Error(fault + "; nothing of the file was taken.");
    }
  }
  return outputs;
}

}  // namespace

std::string merged_key(const std::string& venue, const std::string& show) {
  return show::key_of(fmt::format("recordings\n{}\n{}", venue, show));
}

std::vector<show::OutputRecord> parse_analysis(std::string_view text,
                                               const std::string& name,
                                               const MergeConfig& config) {
  std::vector<show::OutputRecord> outputs;
  int recording_count = 0;
  for_each_json_line(text, name, "'brink analyse --format json'", [&](const Json& json) {
    auto more = parse_recording(json, config);
    std::move(more.begin(), more.end(), std::back_inserter(outputs));
    ++recording_count;
  });
  if (recording_count > 1 && !config.output.empty()) {
    throw base::Error(fmt::format(
        "{}: has {} recordings; --output names the output of one.", name, recording_count));
  }
  return outputs;
}

std::vector<std::string> recordings_of(std::string_view text) {
  std::vector<std::string> files;
  for_each_json_line(text, "", "", [&files](const Json& json) {
    files.push_back(json.at("file").get<std::string>());
  });
  return files;
}

void check_names_differ(const std::vector<std::string>& recordings) {
  std::map<std::string, std::string> paths;
  for (const std::string& path : recordings) {
    const auto [known, is_new] = paths.emplace(base_name(path), path);
    if (!is_new && known->second != path) {
      throw base::Error(fmt::format(
          "{} and {}: two recordings of one name would be one output; merge them one by one, each "
          "with an --output of its own, or into two shows.",
          base::printable(known->second),
          base::printable(path)));
    }
  }
}

void merge_outputs(show::ShowRecord& show, std::vector<show::OutputRecord> outputs) {
  for (show::OutputRecord& output : outputs) {
    const auto same =
        std::find_if(show.outputs.begin(), show.outputs.end(), [&output](const auto& other) {
          return other.name == output.name;
        });
    if (same == show.outputs.end()) {
      show.outputs.push_back(std::move(output));
    } else {
      *same = std::move(output);
    }
  }
  show.check.reset();  // it was of the outputs before
}

}  // namespace brink::report
