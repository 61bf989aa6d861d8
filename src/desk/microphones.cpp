#include "desk/microphones.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <exception>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <stdexcept>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/nearest_int.h"
#include "base/printable.h"
#include "desk/settings.h"
#include "io/paths.h"
#include "io/text_file.h"
#include "io/whole_file.h"

namespace brink::desk {
namespace {

namespace fs = std::filesystem;
using base::Error;
using nlohmann::json;

constexpr const char* kSchema = "brink/microphones/1";
constexpr std::size_t kLongestFile = 16U << 20U;

/// What is wrong with a point that follows `before`; empty: nothing.
std::string fault_of(const listen::ResponsePoint& point,
                     const std::vector<listen::ResponsePoint>& before) {
  constexpr double kMostDb = 60.0;
  if (!(point.frequency_hz > 0.0) || !std::isfinite(point.frequency_hz)) {
    return "the frequency must be above 0 Hz";
  }
  if (!(std::abs(point.level_db) <= kMostDb)) {
    return "the level must be from -60 to 60 dB";
  }
  return before.empty() || point.frequency_hz > before.back().frequency_hz
             ? ""
             : "the frequencies must rise";
}

CalibratedMicrophone from_json(const json& object) {
  CalibratedMicrophone microphone;
  microphone.input = object.at("input");
  microphone.channel = base::nearest_int(object.at("channel").get<double>());
  microphone.date = object.at("date");
  microphone.calibration.full_scale_db_spl = object.at("full_scale_db_spl");
  for (const json& point : object.at("response")) {
    const listen::ResponsePoint read{point.at(0), point.at(1)};
    if (!fault_of(read, microphone.calibration.response).empty()) {
      throw std::invalid_argument("response");
    }
    microphone.calibration.response.push_back(read);
  }
  if (microphone.channel < 1) {
    throw std::invalid_argument("channel");
  }
  return microphone;
}

json to_json(const CalibratedMicrophone& microphone) {
  json response = json::array();
  for (const listen::ResponsePoint& point : microphone.calibration.response) {
    response.push_back({point.frequency_hz, point.level_db});
  }
  return {{"input", microphone.input},
          {"channel", microphone.channel},
          {"date", microphone.date},
          {"full_scale_db_spl", microphone.calibration.full_scale_db_spl},
          {"response", std::move(response)}};
}

}  // namespace

std::string microphones_path() {
  const std::string settings = settings_path();
  return settings.empty() ? settings
                          : (io::to_path(settings).parent_path() / "microphones.json").string();
}

std::vector<CalibratedMicrophone> load_microphones(const std::string& path) {
  std::error_code error;
  if (path.empty() || !fs::exists(io::to_path(path), error)) {
    return {};
  }
  const std::string text = io::read_text_file(path, kLongestFile);
  try {
    const json all = json::parse(text);
    if (all.at("schema") != kSchema) {
      throw std::invalid_argument("schema");
    }
    std::vector<CalibratedMicrophone> microphones;
    for (const json& object : all.at("microphones")) {
      microphones.push_back(from_json(object));
    }
    return microphones;
  } catch (const std::exception&) {
    throw Error(fmt::format(
        "{}: this is no file of calibrated microphones; move it away, and calibrate again.",
        base::printable(path)));
  }
}

void remember_microphone(const std::string& path, const CalibratedMicrophone& microphone) {
  if (path.empty()) {
    throw Error("There is no home folder, so a calibration cannot be remembered.");
  }
  std::vector<CalibratedMicrophone> microphones = load_microphones(path);
  std::erase_if(microphones, [&](const CalibratedMicrophone& other) {
    return other.input == microphone.input && other.channel == microphone.channel;
  });
  microphones.push_back(microphone);
  json list = json::array();
  for (const CalibratedMicrophone& one : microphones) {
    list.push_back(to_json(one));
  }
  std::error_code error;
  fs::create_directories(io::to_path(path).parent_path(),
                         error);  // what is wrong, writing will say
  const json all{{"schema", kSchema}, {"microphones", std::move(list)}};
  io::WholeFile file(path, {{}, true, {}});  // it was read above, so it is ours
  file.append(all.dump(2, ' ', false, json::error_handler_t::replace) + "\n");
  file.commit();
}

std::map<int, listen::Calibration> calibrations_of(
    const std::vector<CalibratedMicrophone>& microphones, const std::string& input) {
  std::map<int, listen::Calibration> calibrations;
  for (const CalibratedMicrophone& microphone : microphones) {
    if (microphone.input == input) {
      calibrations[microphone.channel] = microphone.calibration;
    }
  }
  return calibrations;
}

std::vector<listen::ResponsePoint> read_response(const std::string& path) {
  std::istringstream lines(io::read_text_file(path, kLongestFile));
  std::vector<listen::ResponsePoint> response;
  int number = 0;
  for (std::string line; std::getline(lines, line);) {
    ++number;
    std::replace_if(
        line.begin(), line.end(), [](char c) { return c == ',' || c == ';'; }, ' ');
    std::istringstream columns(line);
    listen::ResponsePoint point;
    if (!(columns >> point.frequency_hz)) {
      continue;  // a remark, or nothing
    }
    const std::string fault =
        columns >> point.level_db ? fault_of(point, response) : "there is no second number";
    if (!fault.empty()) {
      throw Error(fmt::format("{}: line {}: {}; a line is a frequency in Hz and a level in dB.",
                              base::printable(path),
                              number,
                              fault));
    }
    response.push_back(point);
  }
  if (response.empty()) {
    throw Error(fmt::format("{}: there is no line with a frequency in Hz and a level in dB.",
                            base::printable(path)));
  }
  return response;
}

}  // namespace brink::desk
