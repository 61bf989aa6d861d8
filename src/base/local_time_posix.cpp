#include "base/local_time.h"

namespace brink::base {

int local_offset_min(std::time_t moment) {
  std::tm local{};
  localtime_r(&moment, &local);
  return static_cast<int>(local.tm_gmtoff / 60);
}

}  // namespace brink::base
