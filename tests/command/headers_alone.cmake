# Compiles every header of engine/ alone, as in a file of another project that includes only this header. A header that its own
# source file includes first is tested by the build, and not compiled again.
# cmake -DCOMPILER=... -DENGINE=... -DINCLUDES=a;b -P headers_alone.cmake
file(GLOB_RECURSE headers ${ENGINE}/*.h)
set(system)
foreach(folder IN LISTS INCLUDES)
  list(APPEND system -isystem ${folder})
endforeach()
set(broken 0)
foreach(header IN LISTS headers)
  string(REGEX REPLACE "\\.h$" ".cpp" source ${header})
  if(EXISTS ${source})
    file(STRINGS ${source} includes REGEX "^#include" LIMIT_COUNT 1)
    file(RELATIVE_PATH name ${ENGINE} ${header})
    if(includes STREQUAL "#include \"${name}\"")
      continue()
    endif()
  endif()
  execute_process(
    COMMAND ${COMPILER} -std=c++20 -fsyntax-only -fopenmp -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion -Werror
            -Wno-pragma-once-outside-header -I ${ENGINE} ${system} -x c++ -include ${header} /dev/null
    RESULT_VARIABLE status ERROR_VARIABLE words)
  if(status)
    message("${header} does not compile alone:\n${words}")
    set(broken 1)
  endif()
endforeach()
if(broken)
  message(FATAL_ERROR "headers that do not compile alone")
endif()
