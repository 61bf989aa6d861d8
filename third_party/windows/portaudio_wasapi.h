// PortAudio 19.6 includes these for Microsoft's compiler alone.
#define COBJMACROS
#include <windows.h>
#include <avrt.h>
#include <mmreg.h>
#include <audioclient.h>
#include <endpointvolume.h>
#define INITGUID
#include <mmdeviceapi.h>
#include <functiondiscoverykeys_devpkey.h>
#include <devicetopology.h>
#undef INITGUID
