# Four Debian packages, split as is usual there: the program, the library, what builds against it, the plugin.
set(BRINK_MAINTAINER "the brink authors <brink@users.noreply.github.com>" CACHE STRING "Who answers for the packages")
set(packages program=brink library=libbrink1 development=libbrink-dev)
if(TARGET brink_plugin)
  list(APPEND packages plugin=brink-vamp-plugin)
endif()

# Every time inside the packages is the release's, so that two builds give the same bytes.
execute_process(COMMAND date -u -d "${BRINK_RELEASE_DATE}" +%s
  OUTPUT_VARIABLE BRINK_RELEASE_EPOCH OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND "${CMAKE_COMMAND}" -E env LC_ALL=C date -u -d "${BRINK_RELEASE_DATE}" "+%a, %d %b %Y %H:%M:%S +0000"
  OUTPUT_VARIABLE release_time OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)

# Debian's own form of licence and changelog.
file(READ "${PROJECT_SOURCE_DIR}/LICENSE" licence)
string(REGEX MATCH "Copyright \\(c\\) ([^\n]*)\n\n(.*)$" found "${licence}")
set(holder "${CMAKE_MATCH_1}")
string(STRIP "${CMAKE_MATCH_2}" licence)
string(REPLACE "\n\n" "\n.\n" licence "${licence}")
string(REPLACE "\n" "\n " licence "${licence}")
file(WRITE "${CMAKE_CURRENT_BINARY_DIR}/copyright"
  "Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/\nUpstream-Name: brink\n\n"
  "Files: *\nCopyright: ${holder}\nLicense: Expat\n\nLicense: Expat\n ${licence}\n")
file(WRITE "${CMAKE_CURRENT_BINARY_DIR}/changelog.Debian"
  "brink (${PROJECT_VERSION}-1) unstable; urgency=medium\n\n  * What is new is in changelog.gz.\n\n"
  " -- ${BRINK_MAINTAINER}  ${release_time}\n")
find_program(GZIP gzip REQUIRED)
execute_process(COMMAND "${GZIP}" -9nc "${CMAKE_CURRENT_BINARY_DIR}/changelog.Debian"
  OUTPUT_FILE "${CMAKE_CURRENT_BINARY_DIR}/changelog.Debian.gz" COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND "${GZIP}" -9nc "${PROJECT_SOURCE_DIR}/CHANGELOG.md"
  OUTPUT_FILE "${CMAKE_CURRENT_BINARY_DIR}/changelog.gz" COMMAND_ERROR_IS_FATAL ANY)

set(CPACK_COMPONENTS_ALL)
foreach(pair ${packages})
  string(REPLACE "=" ";" pair ${pair})
  list(GET pair 0 component)
  list(GET pair 1 package)
  install(FILES "${CMAKE_CURRENT_BINARY_DIR}/copyright" "${CMAKE_CURRENT_BINARY_DIR}/changelog.gz"
    "${CMAKE_CURRENT_BINARY_DIR}/changelog.Debian.gz" DESTINATION "${CMAKE_INSTALL_DATADIR}/doc/${package}" COMPONENT ${component})
  list(APPEND CPACK_COMPONENTS_ALL ${component})
  string(TOUPPER ${component} upper)
  set(CPACK_DEBIAN_${upper}_PACKAGE_NAME ${package})
endforeach()

set(CPACK_GENERATOR DEB)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
# Whoever packs may have files of their own closed to others; what is in a package is open.
file(WRITE "${CMAKE_CURRENT_BINARY_DIR}/before_packing.cmake"
  "execute_process(COMMAND find \"\${CPACK_TEMPORARY_DIRECTORY}\" -type d -exec chmod 755 {} + COMMAND_ERROR_IS_FATAL ANY)\n")
set(CPACK_PRE_BUILD_SCRIPTS "${CMAKE_CURRENT_BINARY_DIR}/before_packing.cmake")
set(CPACK_STRIP_FILES ON)
set(CPACK_THREADS 1)
set(CPACK_PROJECT_CONFIG_FILE "${CMAKE_CURRENT_BINARY_DIR}/at_packing.cmake")
file(WRITE "${CMAKE_CURRENT_BINARY_DIR}/at_packing.cmake" "set(ENV{SOURCE_DATE_EPOCH} ${BRINK_RELEASE_EPOCH})\n")
set(CPACK_PACKAGE_CONTACT "${BRINK_MAINTAINER}")
set(CPACK_PACKAGE_VENDOR brink)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_RELEASE 1)
set(CPACK_DEBIAN_PACKAGE_SECTION sound)
set(CPACK_DEBIAN_COMPRESSION_TYPE xz)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_RECOMMENDS fonts-inter)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libs)
# CPack's own way runs ldconfig in scripts; Debian wants a trigger.
file(WRITE "${CMAKE_CURRENT_BINARY_DIR}/triggers" "activate-noawait ldconfig\n")
file(WRITE "${CMAKE_CURRENT_BINARY_DIR}/shlibs" "libbrink 1 libbrink1 (>= ${PROJECT_VERSION})\n")
set(CPACK_DEBIAN_LIBRARY_PACKAGE_CONTROL_EXTRA "${CMAKE_CURRENT_BINARY_DIR}/triggers;${CMAKE_CURRENT_BINARY_DIR}/shlibs")
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS "libbrink1 (= ${PROJECT_VERSION}-1), libkissfft-dev")

# The first line is the summary; CPack takes what follows as the long text.
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION "find the frequencies at which a sound system feeds back
Listens through a measurement microphone or a mixer's output, names each
ring while it builds up, proposes the cut for the equaliser at hand, and
shows whether the cut worked. Keeps a log of what was rung out, analyses
recordings, and trains the ear.")
set(CPACK_COMPONENT_LIBRARY_DESCRIPTION "detector of acoustic feedback, shared library
Samples of one channel in, rings out. For programs that want to find the
frequencies at which a sound system is about to feed back.")
set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION "detector of acoustic feedback, development files
Headers for C and C++, a static library, and what CMake and pkg-config
need to find the library.")
set(CPACK_COMPONENT_PLUGIN_DESCRIPTION "detector of acoustic feedback, Vamp plugin
Shows the rings of a recording in any program that takes Vamp plugins.")
include(CPack)
