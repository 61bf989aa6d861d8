// What a host of Vamp plugins asks for by name.
#include <vamp-sdk/PluginAdapter.h>
#include <vamp/vamp.h>

#include "rings_plugin.h"

extern "C" __attribute__((visibility("default"))) const VampPluginDescriptor*
vampGetPluginDescriptor(unsigned int host_api_version, unsigned int index) {
  static Vamp::PluginAdapter<brink::plugin::RingsPlugin> adapter;
  return host_api_version >= 1 && index == 0 ? adapter.getDescriptor() : nullptr;
}
