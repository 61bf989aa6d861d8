#include "io/live/pipewire_objects.h"

#include <pipewire/pipewire.h>

#include <algorithm>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <set>

#include "base/printable.h"

namespace brink::io {
namespace {

constexpr const char* kMonitorOfId = ".monitor";

std::uint32_t number_of(const spa_dict* properties, const char* key) {
  return static_cast<std::uint32_t>(
      std::strtoul(property_text(properties, key).c_str(), nullptr, 10));
}

/// The node's name in the value of a default: {"name":"..."}.
std::string named_in(const char* value) {
  const auto json = nlohmann::json::parse(value == nullptr ? "" : value, nullptr, false);
  return json.is_object() ? json.value("name", std::string()) : std::string();
}

}  // namespace

std::string property_text(const spa_dict* properties, const char* key) {
  const char* const value = properties == nullptr ? nullptr : spa_dict_lookup(properties, key);
  return value == nullptr ? std::string() : std::string(value);
}

void PipewireObjects::add(std::uint32_t id, std::string_view type, const spa_dict* properties) {
  if (type == PW_TYPE_INTERFACE_Node) {
    nodes_[id] = to_node(properties);
  } else if (type == PW_TYPE_INTERFACE_Port) {
    if (property_text(properties, PW_KEY_FORMAT_DSP) != "32 bit float mono audio") {
      return;
    }
    ports_[id] = {.node = number_of(properties, PW_KEY_NODE_ID),
                  .number = static_cast<int>(number_of(properties, PW_KEY_PORT_ID)),
                  .name = property_text(properties, PW_KEY_PORT_NAME),
                  .is_output = property_text(properties, PW_KEY_PORT_DIRECTION) == "out"};
  } else if (type == PW_TYPE_INTERFACE_Link) {
    links_[id] = {.output_port = number_of(properties, PW_KEY_LINK_OUTPUT_PORT),
                  .input_port = number_of(properties, PW_KEY_LINK_INPUT_PORT)};
  }
}

void PipewireObjects::remove(std::uint32_t id) {
  nodes_.erase(id);
  ports_.erase(id);
  links_.erase(id);
}

PipewireObjects::Node PipewireObjects::to_node(const spa_dict* properties) {
  const std::string kind = property_text(properties, PW_KEY_MEDIA_CLASS);
  Node node{.name = property_text(properties, PW_KEY_NODE_NAME),
            .description = property_text(properties, PW_KEY_NODE_DESCRIPTION),
            .is_source = kind.starts_with("Audio/Source") || kind == "Audio/Duplex",
            .is_sink = kind == "Audio/Sink"};
  if (node.description.empty()) {
    node.description = node.name;
  }
  node.description = base::printable(node.description);
  return node;
}

void PipewireObjects::take_setting(std::string_view key, const char* value) {
  if (key == "default.audio.source") {
    default_source_ = named_in(value);
  } else if (value != nullptr && (key == "clock.rate" || key == "clock.force-rate")) {
    const double set_hz = std::strtod(value, nullptr);
    rate_hz_ = set_hz > 0.0 ? set_hz : rate_hz_;  // 0: nothing is forced
  }
}

std::vector<std::pair<int, std::uint32_t>> PipewireObjects::ports_of(std::uint32_t node,
                                                                     bool is_output) const {
  std::vector<std::pair<int, std::uint32_t>> found;
  for (const auto& [id, port] : ports_) {
    if (port.node == node && port.is_output == is_output) {
      found.emplace_back(port.number, id);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

std::string PipewireObjects::name_of(const Port& port) const {
  const auto node = nodes_.find(port.node);
  return node == nodes_.end() ? std::string() : node->second.name + ':' + port.name;
}

std::optional<std::uint32_t> PipewireObjects::find_port(std::string_view name) const {
  const auto found = std::find_if(ports_.begin(), ports_.end(), [&](const auto& entry) {
    return entry.second.is_output && name_of(entry.second) == name;
  });
  return found == ports_.end() ? std::nullopt : std::optional(found->first);
}

std::optional<std::uint32_t> PipewireObjects::input_port(std::uint32_t node, int channel) const {
  const auto inputs = ports_of(node, false);
  const auto at = static_cast<std::size_t>(channel);
  return at < inputs.size() ? std::optional(inputs[at].second) : std::nullopt;
}

void PipewireObjects::add_inputs(bool are_monitors, std::vector<InputDevice>& inputs) const {
  for (const auto& [id, node] : nodes_) {
    const int channels = static_cast<int>(ports_of(id, true).size());
    if (channels == 0 || !(are_monitors ? node.is_sink : node.is_source)) {
      continue;
    }
    inputs.push_back({.name = are_monitors ? "Monitor of " + node.description : node.description,
                      .api = kPipewireName,
                      .channels = channels,
                      .default_rate_hz = rate_hz_,
                      .is_default = !are_monitors && node.name == default_source_,
                      .is_monitor = are_monitors,
                      .id = are_monitors ? node.name + kMonitorOfId : node.name});
  }
}

std::vector<InputDevice> PipewireObjects::inputs() const {
  std::vector<InputDevice> inputs;
  add_inputs(false, inputs);
  add_inputs(true, inputs);
  std::stable_partition(
      inputs.begin(), inputs.end(), [](const InputDevice& input) { return input.is_default; });
  // Two devices of one make have one name. Then the name in the server, which is unique, is added.
  std::multiset<std::string> names;
  for (const InputDevice& input : inputs) {
    names.insert(input.name);
  }
  for (InputDevice& input : inputs) {
    if (names.count(input.name) > 1) {
      input.name += " [" + base::printable(input.id) + "]";
    }
  }
  return inputs;
}

std::vector<std::string> PipewireObjects::source_ports(std::string_view id) const {
  std::vector<std::string> names;
  for (const auto& [number, node] : nodes_) {
    const bool is_wanted =
        (node.is_source && node.name == id) || (node.is_sink && node.name + kMonitorOfId == id);
    if (is_wanted) {
      for (const auto& [place, port] : ports_of(number, true)) {
        names.push_back(name_of(ports_.at(port)));
      }
      break;
    }
  }
  return names;
}

int PipewireObjects::input_count(std::uint32_t node) const {
  return static_cast<int>(ports_of(node, false).size());
}

std::vector<Join> PipewireObjects::joins(std::uint32_t node) const {
  std::vector<Join> joins;
  const auto inputs = ports_of(node, false);
  for (std::size_t channel = 0; channel < inputs.size(); ++channel) {
    for (const auto& [id, link] : links_) {
      const auto source = ports_.find(link.output_port);
      if (link.input_port == inputs[channel].second && source != ports_.end()) {
        joins.push_back({static_cast<int>(channel), name_of(source->second)});
      }
    }
  }
  return joins;
}

std::optional<std::uint32_t> PipewireObjects::find_link(std::uint32_t output_port,
                                                        std::uint32_t input_port) const {
  const auto found = std::find_if(links_.begin(), links_.end(), [&](const auto& entry) {
    return entry.second.output_port == output_port && entry.second.input_port == input_port;
  });
  return found == links_.end() ? std::nullopt : std::optional(found->first);
}

}  // namespace brink::io
