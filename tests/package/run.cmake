# Installs the build into a prefix of its own, and there builds and runs a program that uses what was installed.
#   cmake -DBUILD=... -DCONFIG=... -DPROJECT=... -DFOLDER=... -DGENERATOR=... -DCOMPILER=... -P run.cmake
function(run)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE status)
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "failed (${status}): ${ARGN}")
  endif()
endfunction()

file(REMOVE_RECURSE ${FOLDER})
run(${CMAKE_COMMAND} --install ${BUILD} --config ${CONFIG} --prefix ${FOLDER}/prefix)
# A build machine's own folders must not be needed.
file(GLOB_RECURSE package_files ${FOLDER}/prefix/lib*/cmake/*.cmake)
foreach(package_file ${package_files})
  file(READ ${package_file} text)
  string(FIND "${text}" "${BUILD}" place)
  if(NOT place EQUAL -1)
    message(FATAL_ERROR "${package_file} names the build folder")
  endif()
endforeach()
run(${CMAKE_COMMAND} -S ${PROJECT} -B ${FOLDER}/build -G ${GENERATOR} -DCMAKE_BUILD_TYPE=${CONFIG}
  -DCMAKE_PREFIX_PATH=${FOLDER}/prefix -DCMAKE_CXX_COMPILER=${COMPILER})
run(${CMAKE_COMMAND} --build ${FOLDER}/build --config ${CONFIG})
run(${FOLDER}/build/lights_a_wall ${PROJECT}/wall.site.json)
