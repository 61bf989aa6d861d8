#include "base/local_time.h"

namespace brink::base {

int local_offset_min(std::time_t moment) {
  std::tm local{};
  if (localtime_s(&local, &moment) != 0) {
    return 0;
  }
  return static_cast<int>((_mkgmtime(&local) - moment) / 60);
}

}  // namespace brink::base
