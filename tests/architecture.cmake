cmake_minimum_required(VERSION 3.25)

# Fails when a source includes something that its folder may not include. Run as
#   cmake -D SOURCE_DIR=<src> -P architecture.cmake
# Includes go one way:
#   cli, panel -> desk, ear, robot, sheet -> report -> listen -> io -> show -> taps, cuts, detector -> base
#   report, desk, ear, robot -> loop -> base;  sheet -> ear
#   library (the detector for other programs) -> cuts, detector

# Folders of ours that each folder may include.
set(base_knows base)
set(detector_knows detector base)
set(cuts_knows cuts base)
set(loop_knows loop base)
set(library_knows library cuts detector base)
set(taps_knows taps detector base)
set(show_knows show taps cuts detector base)
set(io_knows io ${show_knows})
set(listen_knows listen ${io_knows})
set(report_knows report loop ${listen_knows})
set(desk_knows desk ${report_knows})
set(ear_knows ear ${report_knows})
set(robot_knows robot ${report_knows})
set(sheet_knows sheet ${ear_knows})
set(panel_knows panel desk sheet ${ear_knows})
# The executable is in cli: it also starts the window.
set(cli_knows cli panel desk robot sheet ${ear_knows})

# Folders below io use no threads, clocks, streams, files or devices. The same samples must give the same events on every
# machine, however they are cut into blocks. A show gets the time from its caller.
set(below_io base detector cuts loop library taps show)
set(outside thread mutex shared_mutex condition_variable future atomic stop_token semaphore barrier latch
  chrono ctime time.h sys/time.h fstream iostream cstdio stdio.h filesystem csignal unistd.h pthread.h fcntl.h
  sndfile.h sndfile.hh sqlite3.h portaudio.h pa_jack.h)
# base has the helpers for threads and for the calendar. In base only these files may include the headers above.
# Below io only a show may include one of the helpers, the calendar, because it writes down the times that it gets.
set(helpers background ring_buffer triple_buffer time_of_day local_time local_time_posix local_time_windows)
set(outside_of_show ${outside})
list(REMOVE_ITEM outside_of_show chrono)

# Libraries that only one folder may use. Each pattern is the beginning of their headers' names.
set(private_to_base "kissfft/|kiss_fft")
set(private_to_io "portaudio|pa_|jack/|pipewire/|spa/|samplerate|sndfile|sqlite3|SQLiteCpp/|lo/|RtMidi|httplib|qrencode")
set(private_to_panel "imgui|GLFW/|GL/|EGL/")
set(private_to_listen "ebur128")
set(private_to_cli "CLI/")
set(with_matrices loop taps)
# What only the system can do has files of its own, one for each system. The network's part is not divided yet.
set(system_headers "^(windows|io|fcntl|poll|spawn|unistd|sys/[a-z]+)\\.h$")
set(system_files "_(posix|windows)\\.cpp$|^io/windows_text\\.cpp$|^io/(page/|link/osc_|osc_|udp_)")

function(check_include file folder include)
  set(reason "")
  get_filename_component(name "${file}" NAME_WE)
  string(REGEX REPLACE "/.*" "" other "${include}")
  if(DEFINED ${other}_knows AND NOT other IN_LIST ${folder}_knows)
    set(reason "${folder} must not know ${other}")
  endif()
  if(folder STREQUAL "base")
    if(include IN_LIST outside AND NOT name IN_LIST helpers)
      set(reason "in base only the helpers for threads and the calendar reach outside")
    endif()
  elseif(folder STREQUAL "show")
    if(include IN_LIST outside_of_show OR include MATCHES "^base/(background|ring_buffer|triple_buffer)\\.h$")
      set(reason "a show has no threads, clocks, streams or devices")
    endif()
  elseif(folder IN_LIST below_io)
    string(REGEX REPLACE "^base/(.*)\\.h$" "\\1" helper "${include}")
    if(include IN_LIST outside OR helper IN_LIST helpers)
      set(reason "${folder} is arithmetic alone")
    endif()
  endif()
  if(include MATCHES "^Eigen/" AND NOT folder IN_LIST with_matrices)
    set(reason "matrices are for loop and taps")
  endif()
  if(include MATCHES "${system_headers}" AND NOT file MATCHES "${system_files}")
    set(reason "that is one system's own: it belongs into NAME_posix.cpp or NAME_windows.cpp")
  endif()
  foreach(owner base io listen panel cli)
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
  file(STRINGS "${SOURCE_DIR}/${file}" lines REGEX "^[ \t]*#[ \t]*include|_clock::now")
  foreach(line ${lines})
    if(line MATCHES "include[ \t]*[<\"]([^>\"]+)[>\"]")
      check_include("${file}" "${folder}" "${CMAKE_MATCH_1}")
    elseif(folder IN_LIST below_io)
      message(SEND_ERROR "${file}: reads a clock, but ${folder} is told the time")
    endif()
  endforeach()
endforeach()
message("${count} sources keep to the arrows")
