#include "desk/page/kept_secret.h"

#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <system_error>

#include "base/error.h"
#include "desk/settings.h"
#include "io/files.h"
#include "io/page/page_secret.h"
#include "io/paths.h"
#include "io/replace_rule.h"
#include "io/text_file.h"

namespace brink::desk {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr const char* kSchema = "brink/page-secret/1";
constexpr std::size_t kLongestFile = 4096;

long long seconds_of(std::chrono::system_clock::time_point time) {
  return std::chrono::duration_cast<std::chrono::seconds>(time.time_since_epoch()).count();
}

std::optional<std::string> read_secret(const std::string& path,
                                       std::chrono::system_clock::time_point now) {
  try {
    const json file = json::parse(io::read_text_file(path, kLongestFile));
    const std::string secret = file.at("secret");
    const double age_s = static_cast<double>(seconds_of(now)) - file.at("used").get<double>();
    const bool is_good = file.at("schema") == kSchema && io::is_page_secret(secret) &&
                         age_s >= 0.0 &&
                         age_s <= std::chrono::duration<double>(kSecretKept).count();
    return is_good ? std::optional(secret) : std::nullopt;
  } catch (const std::exception&) {
    return std::nullopt;  // there is none yet, or it is no such file
  }
}

void write_secret(const std::string& path,
                  const std::string& secret,
                  std::chrono::system_clock::time_point now) {
  std::error_code fault;
  fs::create_directories(io::to_path(path).parent_path(), fault);
  try {
    io::check_replaceable(path, {{R"({"schema":")" + std::string(kSchema)}, false, {}});
  } catch (const base::Error&) {
    return;  // the next start has another secret
  }
  // Not as a WholeFile, which others could read while it grows. Half a file only means a new
  // secret.
  const io::OpenFile file(io::overwrite_private_file(path));
  if (!file.is_open()) {
    return;
  }
  const nlohmann::ordered_json content{
      {"schema", kSchema}, {"secret", secret}, {"used", seconds_of(now)}};
  (void)io::write_all(file.number(), content.dump() + "\n");
}

}  // namespace

std::string page_secret_path() {
  const std::string settings = settings_path();
  return settings.empty() ? "" : (io::to_path(settings).parent_path() / "page.json").string();
}

std::string keep_page_secret(const std::string& path,
                             std::chrono::system_clock::time_point now,
                             bool is_new) {
  const auto kept = path.empty() || is_new ? std::nullopt : read_secret(path, now);
  std::string secret = kept ? *kept : io::new_page_secret();
  if (!path.empty()) {
    write_secret(path, secret, now);
  }
  return secret;
}

}  // namespace brink::desk
