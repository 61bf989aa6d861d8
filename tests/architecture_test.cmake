cmake_minimum_required(VERSION 3.25)

# The check on the architecture must be able to fail: each planted include has to be found.
#   cmake -D SCRIPT=<architecture.cmake> -D WORK_DIR=<scratch> -P architecture_test.cmake
set(planted
  "core:<thread>" "core:<cstdio>" "cuts:<chrono>" "loop:<fstream>" "loop:<atomic>" "core:<sndfile.h>" "cuts:<sqlite3.h>"
  "loop:<portaudio.h>" "core:\"cuts/cut.h\"" "io:\"app/analysis.h\"" "cuts:\"loop/stage.h\"" "app:\"cli/command.h\""
  "app:<sndfile.h>" "app:<lo/lo.h>" "io:<kissfft/kiss_fft.h>" "app:<CLI/CLI.hpp>" "elsewhere:<vector>")
foreach(plant ${planted})
  string(REGEX MATCH "^([a-z]+):(.*)$" ignored "${plant}")
  file(REMOVE_RECURSE "${WORK_DIR}")
  file(WRITE "${WORK_DIR}/${CMAKE_MATCH_1}/planted.cpp" "#include ${CMAKE_MATCH_2}\n")
  execute_process(COMMAND "${CMAKE_COMMAND}" -D "SOURCE_DIR=${WORK_DIR}" -P "${SCRIPT}"
    RESULT_VARIABLE status OUTPUT_QUIET ERROR_QUIET)
  if(status EQUAL 0)
    message(SEND_ERROR "not found: ${plant}")
  endif()
endforeach()
file(REMOVE_RECURSE "${WORK_DIR}")
file(WRITE "${WORK_DIR}/app/sound.cpp" "#include <thread>\n#include \"io/sound_file.h\"\n#include \"core/ring.h\"\n")
execute_process(COMMAND "${CMAKE_COMMAND}" -D "SOURCE_DIR=${WORK_DIR}" -P "${SCRIPT}" RESULT_VARIABLE status OUTPUT_QUIET ERROR_QUIET)
if(NOT status EQUAL 0)
  message(SEND_ERROR "refused what is allowed")
endif()
