#include "report/inputs_json.h"

#include "report/row_json.h"

namespace brink::report {

std::string inputs_json(std::span<const io::InputDevice> inputs) {
  Json list = Json::array();
  for (const io::InputDevice& input : inputs) {
    list.push_back({{"number", input.number},
                    {"name", input.name},
                    {"api", input.api},
                    {"channels", input.channels},
                    {"default_sample_rate_hz", input.default_rate_hz},
                    {"is_default", input.is_default},
                    {"is_monitor", input.is_monitor}});
    if (!input.id.empty()) {
      list.back()["id"] = input.id;
    }
  }
  Json report{{"schema", "brink/inputs/1"}};
  report["inputs"] = std::move(list);
  return to_line(report);
}

}  // namespace brink::report
