cmake_minimum_required(VERSION 3.25)

# Fails when a source includes what its folder must not know. Run as
#   cmake -D SOURCE_DIR=<src> -P architecture.cmake
# Arrows go one way: cli, panel -> app -> io -> core, app -> cuts -> core, app -> loop -> core.

# Folders of ours that each folder may include.
set(core_knows core)
set(cuts_knows cuts core)
set(loop_knows loop core)
set(io_knows io core)
set(app_knows app io cuts loop core)
# The executable is in cli: it also starts the window.
set(cli_knows cli panel app io cuts loop core)
set(panel_knows panel app io cuts loop core)

# What core, cuts and loop must not touch: threads, clocks, streams, files, devices. They are arithmetic, and the same samples
# must give the same events on every machine and in every order of blocks.
set(outside thread mutex shared_mutex condition_variable future atomic stop_token semaphore barrier latch
  chrono ctime time.h sys/time.h fstream iostream cstdio stdio.h filesystem csignal unistd.h pthread.h fcntl.h
  sndfile.h sndfile.hh sqlite3.h portaudio.h pa_jack.h)

# Libraries that only one folder may see, by what their headers begin with.
set(private_to_core "kissfft/|kiss_fft")
set(private_to_io "portaudio|pa_|samplerate|sndfile|sqlite3|SQLiteCpp/|lo/")
set(private_to_panel "imgui|GLFW/|GL/|EGL/")
set(private_to_cli "CLI/")

set(failures 0)

function(check_include file folder include)
  set(reason "")
  if(include MATCHES "^(core|cuts|loop|io|app|cli|panel)/" AND NOT CMAKE_MATCH_1 IN_LIST ${folder}_knows)
    set(reason "${folder} must not know ${CMAKE_MATCH_1}")
  endif()
  if(folder MATCHES "^(core|cuts|loop)$" AND include IN_LIST outside)
    set(reason "${folder} is arithmetic alone")
  endif()
  foreach(owner core io panel cli)
    if(NOT folder STREQUAL owner AND include MATCHES "^(${private_to_${owner}})")
      set(reason "that library is private to ${owner}")
    endif()
  endforeach()
  if(reason)
    message(SEND_ERROR "${file}: includes ${include}, but ${reason}")
  endif()
endfunction()

file(GLOB_RECURSE sources RELATIVE "${SOURCE_DIR}" "${SOURCE_DIR}/*.h" "${SOURCE_DIR}/*.cpp")
list(LENGTH sources count)
if(count EQUAL 0)
  message(FATAL_ERROR "no sources in ${SOURCE_DIR}")
endif()
foreach(file ${sources})
  string(REGEX MATCH "^[^/]+" folder "${file}")
  if(NOT DEFINED ${folder}_knows)
    message(SEND_ERROR "${file}: the folder ${folder} is none of the design's")
    continue()
  endif()
  file(STRINGS "${SOURCE_DIR}/${file}" lines REGEX "^[ \t]*#[ \t]*include")
  foreach(line ${lines})
    if(line MATCHES "include[ \t]*[<\"]([^>\"]+)[>\"]")
      check_include("${file}" "${folder}" "${CMAKE_MATCH_1}")
    endif()
  endforeach()
endforeach()
message("${count} sources keep to the arrows")
