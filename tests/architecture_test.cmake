cmake_minimum_required(VERSION 3.25)

# Tests the check on the architecture: it must find each planted line, and each allowed line must pass.
#   cmake -D SCRIPT=<architecture.cmake> -D WORK_DIR=<scratch> -P architecture_test.cmake
function(check_line file line is_allowed)
  file(REMOVE_RECURSE "${WORK_DIR}")
  file(WRITE "${WORK_DIR}/${file}" "${line}\n")
  execute_process(COMMAND "${CMAKE_COMMAND}" -D "SOURCE_DIR=${WORK_DIR}" -P "${SCRIPT}"
    RESULT_VARIABLE status OUTPUT_QUIET ERROR_QUIET)
  if(is_allowed AND NOT status EQUAL 0)
    message(SEND_ERROR "refused what is allowed: ${file}: ${line}")
  elseif(NOT is_allowed AND status EQUAL 0)
    message(SEND_ERROR "not found: ${file}: ${line}")
  endif()
endfunction()

foreach(plant
    "detector:<thread>" "detector:<cstdio>" "cuts:<chrono>" "loop:<fstream>" "loop:<atomic>" "base:<thread>" "show:<atomic>"
    "show:<filesystem>" "detector:<sndfile.h>" "cuts:<sqlite3.h>" "loop:<portaudio.h>" "detector:\"cuts/cut.h\""
    "detector:\"base/background.h\"" "show:\"base/background.h\"" "cuts:\"base/time_of_day.h\"" "base:\"detector/ring.h\""
    "cuts:\"loop/stage.h\"" "show:\"io/book/book.h\"" "show:\"loop/stage.h\"" "io:\"listen/analysis.h\"" "io:\"loop/stage.h\""
    "listen:\"report/row_json.h\"" "report:\"desk/desk.h\"" "ear:\"desk/desk.h\"" "desk:\"ear/ruler.h\"" "robot:\"sheet/sheet.h\""
    "sheet:\"desk/desk.h\"" "desk:\"panel/pane.h\"" "desk:\"cli/command.h\"" "panel:\"cli/command.h\"" "panel:\"robot/robot.h\""
    "library:\"listen/analysis.h\"" "library:<mutex>" "desk:<sndfile.h>" "report:<lo/lo.h>" "detector:<kissfft/kiss_fft.h>" "desk:<CLI/CLI.hpp>" "elsewhere:<vector>" "panel:<unistd.h>" "io:<windows.h>")
  string(REGEX MATCH "^([a-z]+):(.*)$" ignored "${plant}")
  check_line("${CMAKE_MATCH_1}/planted.cpp" "#include ${CMAKE_MATCH_2}" FALSE)
endforeach()
check_line("show/planted.cpp" "const auto now = std::chrono::system_clock::now()" FALSE)

foreach(allowed
    "desk/sound.cpp:<thread>" "listen/sound.cpp:\"io/sound_file.h\"" "desk/sound.cpp:\"detector/ring.h\"" "show/night.h:<chrono>"
    "show/night.cpp:\"base/time_of_day.h\"" "base/background.h:<future>" "cli/start.cpp:\"panel/run.h\"" "sheet/page.cpp:\"ear/ruler.h\"")
  string(REGEX MATCH "^([a-z_/.]+):(.*)$" ignored "${allowed}")
  check_line("${CMAKE_MATCH_1}" "#include ${CMAKE_MATCH_2}" TRUE)
endforeach()
