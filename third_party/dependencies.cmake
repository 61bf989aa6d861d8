# Every dependency is a Debian package, found here and nowhere else; see README.md beside this file.
find_package(PkgConfig REQUIRED)
find_package(Threads REQUIRED)
# Debian ships KissFFT as a shared float library only; without these two components the config finds nothing and says found.
find_package(kissfft CONFIG REQUIRED COMPONENTS SHARED float)
find_package(fmt CONFIG REQUIRED)
find_package(CLI11 CONFIG REQUIRED)
find_package(nlohmann_json CONFIG REQUIRED)
pkg_check_modules(SNDFILE REQUIRED IMPORTED_TARGET sndfile)
if(BUILD_TESTING OR NOT DEFINED BUILD_TESTING)
  find_package(doctest CONFIG REQUIRED)
endif()
