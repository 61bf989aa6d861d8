#include "support/pipewire_server.h"

#include <doctest/doctest.h>

#include <chrono>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <numeric>
#include <set>
#include <sstream>
#include <thread>
#include <utility>
#include <vector>

namespace brink::tests {
namespace {

constexpr double kPatienceS = 15.0;  // only ever spent when something hangs

template <typename Condition>
void wait_for(const Condition& condition) {
  const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(kPatienceS);
  while (!condition()) {
    REQUIRE(std::chrono::steady_clock::now() < until);
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
}

}  // namespace

PipewireServer::PipewireServer(std::string directory) : directory_(std::move(directory)) {
  namespace fs = std::filesystem;
  fs::create_directories(directory_ + "/run");
  fs::permissions(directory_ + "/run", fs::perms::owner_all);
  bus_ = std::make_unique<Process>(
      std::vector<std::string>{"dbus-daemon", "--session", "--nofork", "--print-address=1"},
      ProcessOptions{directory_ + "/bus.err", {}});
  bus_address_ = bus_->read_line(kPatienceS).value_or("");
  REQUIRE(!bus_address_.empty());
  start();
}

void PipewireServer::start() {
  server_ = std::make_unique<Process>(std::vector<std::string>{"pipewire"},
                                      client_options("pipewire.err"));
  wait_for([&] { return run({"pw-cli", "info", "0"}).find("id: 0") != std::string::npos; });
  manager_ = std::make_unique<Process>(std::vector<std::string>{"wireplumber"},
                                       client_options("wireplumber.err"));
}

void PipewireServer::end(int signal) {
  server_->send_signal(signal);
  static_cast<void>(server_->wait(kPatienceS));
  static_cast<void>(manager_->wait(kPatienceS));
}

std::string PipewireServer::run(const std::vector<std::string>& words) const {
  Process process(words, client_options("tool.err"));
  process.close_input();
  std::string output;
  while (const auto line = process.read_line(kPatienceS)) {
    output += *line + '\n';
  }
  return output;
}

std::string PipewireServer::id_of(const std::string& name) const {
  const auto objects = nlohmann::json::parse(run({"pw-dump"}), nullptr, false);
  for (const auto& object : objects) {
    const auto& properties = object.value("/info/props"_json_pointer, nlohmann::json::object());
    if (properties.value("node.name", "") == name) {
      return std::to_string(object["id"].get<int>());
    }
  }
  return {};
}

void PipewireServer::add(const std::string& name,
                         const std::string& description,
                         const std::string& kind,
                         const std::string& channels) {
  static_cast<void>(run({"pw-cli",
                         "create-node",
                         "adapter",
                         "{ factory.name=support.null-audio-sink object.linger=true node.name=" +
                             name + " node.description=\"" + description +
                             "\" media.class=" + kind + " audio.position=" + channels + " }"}));
  // The session manager gives it its ports.
  wait_for([&] { return run({"pw-link", "-o"}).find(name + ':') != std::string::npos; });
}

void PipewireServer::remove(const std::string& name) {
  static_cast<void>(run({"pw-cli", "destroy", id_of(name)}));
}

void PipewireServer::make_default(const std::string& name) {
  static_cast<void>(run({"pw-metadata",
                         "0",
                         "default.configured.audio.source",
                         "{ \"name\": \"" + name + "\" }",
                         "Spa:String:JSON"}));
  wait_for([&] {
    const std::string all = run({"pw-metadata", "0", "default.audio.source"});
    return all.find('"' + name + '"') != std::string::npos;
  });
}

void PipewireServer::link(const std::string& from, const std::string& to) {
  static_cast<void>(run({"pw-link", from, to}));
}

std::string PipewireServer::joins() const {
  std::istringstream lines(run({"pw-link", "-l"}));
  std::set<std::string> joins;
  std::string port;
  for (std::string line; std::getline(lines, line);) {
    constexpr std::string_view kTo = "  |-> ";
    if (line.rfind(kTo, 0) == 0) {
      joins.insert(port + " -> " + line.substr(kTo.size()) + '\n');
    } else if (line.rfind("  ", 0) != 0) {
      port = line;
    }
  }
  return std::accumulate(joins.begin(), joins.end(), std::string());
}

bool PipewireServer::becomes_joined(const std::string& client) const {
  const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(kPatienceS);
  while (joins().find(client + ':') == std::string::npos) {
    if (std::chrono::steady_clock::now() > until) {
      return false;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  return true;
}

ProcessOptions PipewireServer::client_options(const std::string& err_name) const {
  return {directory_ + '/' + err_name,
          {{"XDG_RUNTIME_DIR", directory_ + "/run"},
           {"XDG_CONFIG_HOME", directory_ + "/config"},
           {"XDG_STATE_HOME", directory_ + "/state"},
           {"HOME", directory_},
           {"DBUS_SESSION_BUS_ADDRESS", bus_address_}}};
}

}  // namespace brink::tests
