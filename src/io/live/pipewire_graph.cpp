#include "io/live/pipewire_graph.h"

#include <pipewire/extensions/metadata.h>
#include <pipewire/pipewire.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdlib>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <utility>

#include "base/printable.h"

namespace brink::io {
namespace {

constexpr int kAnswerWithinS = 1;
constexpr const char* kMonitorOfId = ".monitor";
constexpr double kUsualRateHz = 48000.0;  // PipeWire's own when nothing is set

struct Node {
  std::string name;         ///< unique, and the same after a device was unplugged and plugged again
  std::string description;  ///< as the desktop shows it
  bool is_source = false;
  bool is_sink = false;
};

struct Port {
  std::uint32_t node = 0;
  int number = 0;  ///< its place among the node's ports of that direction
  std::string name;
  bool is_output = false;
};

struct Link {
  std::uint32_t output_port = 0;
  std::uint32_t input_port = 0;
};

std::string text_of(const spa_dict* properties, const char* key) {
  const char* const value = properties == nullptr ? nullptr : spa_dict_lookup(properties, key);
  return value == nullptr ? std::string() : std::string(value);
}

std::uint32_t number_of(const spa_dict* properties, const char* key) {
  return static_cast<std::uint32_t>(std::strtoul(text_of(properties, key).c_str(), nullptr, 10));
}

/// The node's name in the value of a default: {"name":"..."}.
std::string named_in(const char* value) {
  const auto json = nlohmann::json::parse(value == nullptr ? "" : value, nullptr, false);
  return json.is_object() ? json.value("name", std::string()) : std::string();
}

}  // namespace

struct PipewireGraph::State {
  pw_thread_loop* loop = nullptr;
  pw_context* context = nullptr;
  pw_core* core = nullptr;
  pw_registry* registry = nullptr;
  std::vector<pw_proxy*> metadata;
  std::vector<pw_proxy*> made_links;
  spa_hook core_listener{};
  spa_hook registry_listener{};
  std::array<spa_hook, 2> metadata_listeners{};

  // For whoever holds the loop's lock.
  std::map<std::uint32_t, Node> nodes;
  std::map<std::uint32_t, Port> ports;
  std::map<std::uint32_t, Link> links;
  std::string default_source;
  double rate_hz = kUsualRateHz;
  int answered = 0;
  std::atomic<bool> is_alive{true};

  ~State();
  [[nodiscard]] bool connect();
  [[nodiscard]] bool wait_for_answer();
  void add(std::uint32_t id, std::string_view type, const spa_dict* properties);
  void add_node(std::uint32_t id, const spa_dict* properties);
  void add_metadata(std::uint32_t id, const spa_dict* properties);
  void take_setting(std::string_view key, const char* value);

  [[nodiscard]] std::vector<std::pair<int, std::uint32_t>> ports_of(std::uint32_t node,
                                                                    bool is_output) const;
  [[nodiscard]] std::string name_of(const Port& port) const;
  [[nodiscard]] std::optional<std::uint32_t> find_port(std::string_view name) const;
  [[nodiscard]] std::optional<std::uint32_t> input_port(std::uint32_t node, int channel) const;
  void add_inputs(bool are_monitors, std::vector<InputDevice>& inputs) const;
};

LoopLock::LoopLock(pw_thread_loop* loop) : loop_(loop) {
  pw_thread_loop_lock(loop_);
}

LoopLock::~LoopLock() {
  pw_thread_loop_unlock(loop_);
}

PipewireGraph::State::~State() {
  if (loop == nullptr) {
    return;
  }
  pw_thread_loop_stop(loop);
  for (pw_proxy* proxy : metadata) {
    pw_proxy_destroy(proxy);
  }
  for (pw_proxy* proxy : made_links) {
    pw_proxy_destroy(proxy);
  }
  if (registry != nullptr) {
    pw_proxy_destroy(reinterpret_cast<pw_proxy*>(registry));
  }
  if (core != nullptr) {
    pw_core_disconnect(core);
  }
  if (context != nullptr) {
    pw_context_destroy(context);
  }
  pw_thread_loop_destroy(loop);
}

bool PipewireGraph::State::connect() {
  pw_init(nullptr, nullptr);
  loop = pw_thread_loop_new("brink", nullptr);
  context = loop == nullptr ? nullptr : pw_context_new(pw_thread_loop_get_loop(loop), nullptr, 0);
  if (context == nullptr || pw_thread_loop_start(loop) != 0) {
    return false;
  }
  const LoopLock lock(loop);
  core = pw_context_connect(context, nullptr, 0);
  if (core == nullptr) {
    return false;
  }
  // Member by member: newer compilers warn of the members that a list leaves out.
  static constexpr pw_core_events kCoreEvents = [] {
    pw_core_events events{};
    events.version = PW_VERSION_CORE_EVENTS;
    events.done = [](void* state, std::uint32_t /*id*/, int /*sequence*/) {
      ++static_cast<State*>(state)->answered;
      pw_thread_loop_signal(static_cast<State*>(state)->loop, false);
    };
    events.error =
        [](void* state, std::uint32_t id, int /*sequence*/, int result, const char* /*text*/) {
          if (id == PW_ID_CORE && result == -EPIPE) {
            static_cast<State*>(state)->is_alive.store(false);
          }
        };
    return events;
  }();
  pw_core_add_listener(core, &core_listener, &kCoreEvents, this);
  registry = pw_core_get_registry(core, PW_VERSION_REGISTRY, 0);
  static constexpr pw_registry_events kRegistryEvents{
      .version = PW_VERSION_REGISTRY_EVENTS,
      .global =
          [](void* state,
             std::uint32_t id,
             std::uint32_t /*permissions*/,
             const char* type,
             std::uint32_t /*version*/,
             const spa_dict* properties) { static_cast<State*>(state)->add(id, type, properties); },
      .global_remove =
          [](void* state, std::uint32_t id) {
            static_cast<State*>(state)->nodes.erase(id);
            static_cast<State*>(state)->ports.erase(id);
            static_cast<State*>(state)->links.erase(id);
          }};
  pw_registry_add_listener(registry, &registry_listener, &kRegistryEvents, this);
  // What is there comes with the first answer. The values of what was bound then come with the
  // second.
  return wait_for_answer() && wait_for_answer();
}

bool PipewireGraph::State::wait_for_answer() {
  const int before = answered;
  pw_core_sync(core, PW_ID_CORE, 0);
  while (answered == before && is_alive.load()) {
    if (pw_thread_loop_timed_wait(loop, kAnswerWithinS) != 0) {
      return false;
    }
  }
  return is_alive.load();
}

void PipewireGraph::State::add(std::uint32_t id,
                               std::string_view type,
                               const spa_dict* properties) {
  if (type == PW_TYPE_INTERFACE_Node) {
    add_node(id, properties);
  } else if (type == PW_TYPE_INTERFACE_Port) {
    if (text_of(properties, PW_KEY_FORMAT_DSP) != "32 bit float mono audio") {
      return;
    }
    ports[id] = {.node = number_of(properties, PW_KEY_NODE_ID),
                 .number = static_cast<int>(number_of(properties, PW_KEY_PORT_ID)),
                 .name = text_of(properties, PW_KEY_PORT_NAME),
                 .is_output = text_of(properties, PW_KEY_PORT_DIRECTION) == "out"};
  } else if (type == PW_TYPE_INTERFACE_Link) {
    links[id] = {.output_port = number_of(properties, PW_KEY_LINK_OUTPUT_PORT),
                 .input_port = number_of(properties, PW_KEY_LINK_INPUT_PORT)};
  } else if (type == PW_TYPE_INTERFACE_Metadata) {
    add_metadata(id, properties);
  }
}

void PipewireGraph::State::add_node(std::uint32_t id, const spa_dict* properties) {
  const std::string kind = text_of(properties, PW_KEY_MEDIA_CLASS);
  Node node{.name = text_of(properties, PW_KEY_NODE_NAME),
            .description = text_of(properties, PW_KEY_NODE_DESCRIPTION),
            .is_source = kind.starts_with("Audio/Source") || kind == "Audio/Duplex",
            .is_sink = kind == "Audio/Sink"};
  if (node.description.empty()) {
    node.description = node.name;
  }
  node.description = base::printable(node.description);
  nodes[id] = std::move(node);
}

void PipewireGraph::State::add_metadata(std::uint32_t id, const spa_dict* properties) {
  const std::string name = text_of(properties, PW_KEY_METADATA_NAME);
  if ((name != "default" && name != "settings") || metadata.size() == metadata_listeners.size()) {
    return;
  }
  auto* const proxy = static_cast<pw_proxy*>(
      pw_registry_bind(registry, id, PW_TYPE_INTERFACE_Metadata, PW_VERSION_METADATA, 0));
  static constexpr pw_metadata_events kEvents{.version = PW_VERSION_METADATA_EVENTS,
                                              .property = [](void* state,
                                                             std::uint32_t /*subject*/,
                                                             const char* key,
                                                             const char* /*type*/,
                                                             const char* value) {
                                                if (key != nullptr) {
                                                  static_cast<State*>(state)->take_setting(key,
                                                                                           value);
                                                }
                                                return 0;
                                              }};
  pw_proxy_add_object_listener(proxy, &metadata_listeners.at(metadata.size()), &kEvents, this);
  metadata.push_back(proxy);
}

void PipewireGraph::State::take_setting(std::string_view key, const char* value) {
  if (key == "default.audio.source") {
    default_source = named_in(value);
  } else if (value != nullptr && (key == "clock.rate" || key == "clock.force-rate")) {
    const double set_hz = std::strtod(value, nullptr);
    rate_hz = set_hz > 0.0 ? set_hz : rate_hz;  // 0: nothing is forced
  }
}

std::vector<std::pair<int, std::uint32_t>> PipewireGraph::State::ports_of(std::uint32_t node,
                                                                          bool is_output) const {
  std::vector<std::pair<int, std::uint32_t>> found;
  for (const auto& [id, port] : ports) {
    if (port.node == node && port.is_output == is_output) {
      found.emplace_back(port.number, id);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

std::string PipewireGraph::State::name_of(const Port& port) const {
  const auto node = nodes.find(port.node);
  return node == nodes.end() ? std::string() : node->second.name + ':' + port.name;
}

std::optional<std::uint32_t> PipewireGraph::State::find_port(std::string_view name) const {
  const auto found = std::find_if(ports.begin(), ports.end(), [&](const auto& entry) {
    return entry.second.is_output && name_of(entry.second) == name;
  });
  return found == ports.end() ? std::nullopt : std::optional(found->first);
}

std::optional<std::uint32_t> PipewireGraph::State::input_port(std::uint32_t node,
                                                              int channel) const {
  const auto inputs = ports_of(node, false);
  const auto at = static_cast<std::size_t>(channel);
  return at < inputs.size() ? std::optional(inputs[at].second) : std::nullopt;
}

void PipewireGraph::State::add_inputs(bool are_monitors, std::vector<InputDevice>& inputs) const {
  for (const auto& [id, node] : nodes) {
    const int channels = static_cast<int>(ports_of(id, true).size());
    if (channels == 0 || !(are_monitors ? node.is_sink : node.is_source)) {
      continue;
    }
    inputs.push_back({.name = are_monitors ? "Monitor of " + node.description : node.description,
                      .api = kPipewireName,
                      .channels = channels,
                      .default_rate_hz = rate_hz,
                      .is_default = !are_monitors && node.name == default_source,
                      .is_monitor = are_monitors,
                      .id = are_monitors ? node.name + kMonitorOfId : node.name});
  }
}

PipewireGraph::PipewireGraph(std::unique_ptr<State> state) : state_(std::move(state)) {}

PipewireGraph::~PipewireGraph() = default;

std::unique_ptr<PipewireGraph> PipewireGraph::find() {
  auto state = std::make_unique<State>();
  if (!state->connect()) {
    return nullptr;
  }
  return std::unique_ptr<PipewireGraph>(new PipewireGraph(std::move(state)));
}

std::vector<InputDevice> PipewireGraph::inputs() const {
  const LoopLock lock(state_->loop);
  std::vector<InputDevice> inputs;
  state_->add_inputs(false, inputs);
  state_->add_inputs(true, inputs);
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

bool PipewireGraph::is_alive() const noexcept {
  return state_->is_alive.load();
}

std::vector<std::string> PipewireGraph::source_ports(std::string_view id) const {
  const LoopLock lock(state_->loop);
  std::vector<std::string> names;
  for (const auto& [number, node] : state_->nodes) {
    const bool is_wanted =
        (node.is_source && node.name == id) || (node.is_sink && node.name + kMonitorOfId == id);
    if (is_wanted) {
      for (const auto& [place, port] : state_->ports_of(number, true)) {
        names.push_back(state_->name_of(state_->ports.at(port)));
      }
      break;
    }
  }
  return names;
}

bool PipewireGraph::has_port(std::string_view name) const {
  const LoopLock lock(state_->loop);
  return state_->find_port(name).has_value();
}

int PipewireGraph::input_count(std::uint32_t node) const {
  const LoopLock lock(state_->loop);
  return static_cast<int>(state_->ports_of(node, false).size());
}

std::vector<Join> PipewireGraph::joins(std::uint32_t node) const {
  const LoopLock lock(state_->loop);
  std::vector<Join> joins;
  const auto inputs = state_->ports_of(node, false);
  for (std::size_t channel = 0; channel < inputs.size(); ++channel) {
    for (const auto& [id, link] : state_->links) {
      const auto source = state_->ports.find(link.output_port);
      if (link.input_port == inputs[channel].second && source != state_->ports.end()) {
        joins.push_back({static_cast<int>(channel), state_->name_of(source->second)});
      }
    }
  }
  return joins;
}

void PipewireGraph::make(std::uint32_t node, const Join& join) {
  const LoopLock lock(state_->loop);
  const auto from = state_->find_port(join.source);
  const auto to = state_->input_port(node, join.channel);
  if (!from || !to) {
    return;
  }
  const std::string output = std::to_string(*from);
  const std::string input = std::to_string(*to);
  const std::array<spa_dict_item, 2> items{spa_dict_item{PW_KEY_LINK_OUTPUT_PORT, output.c_str()},
                                           spa_dict_item{PW_KEY_LINK_INPUT_PORT, input.c_str()}};
  const spa_dict properties{.flags = 0, .n_items = items.size(), .items = items.data()};
  auto* const link = static_cast<pw_proxy*>(pw_core_create_object(
      state_->core, "link-factory", PW_TYPE_INTERFACE_Link, PW_VERSION_LINK, &properties, 0));
  if (link != nullptr) {
    state_->made_links.push_back(link);
  }
}

void PipewireGraph::undo(std::uint32_t node, const Join& join) {
  const LoopLock lock(state_->loop);
  const auto from = state_->find_port(join.source);
  const auto to = state_->input_port(node, join.channel);
  for (const auto& [id, link] : state_->links) {
    if (from && to && link.output_port == *from && link.input_port == *to) {
      pw_registry_destroy(state_->registry, id);
      return;
    }
  }
}

pw_core* PipewireGraph::core() const noexcept {
  return state_->core;
}

pw_thread_loop* PipewireGraph::loop() const noexcept {
  return state_->loop;
}

}  // namespace brink::io
