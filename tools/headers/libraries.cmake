# Libraries from their headers (DUSKCAST_HEADER_LIBRARIES), for machines and C++ libraries that the system's
# packages are not built for; libraries.cpp compiles what needs it. A compiler for another machine must not see
# /usr/include itself, whose C library is not its own: a folder of links shows it the libraries alone.

set(header_folder ${PROJECT_BINARY_DIR}/headers)
file(MAKE_DIRECTORY ${header_folder})

function(link_headers) # what stands in /usr/include, or in the folder FROM there
  cmake_parse_arguments(LINK "" "FROM" "" ${ARGN})
  foreach(name ${LINK_UNPARSED_ARGUMENTS})
    find_path(folder_of_${name} ${name} PATHS /usr/include/${LINK_FROM} NO_DEFAULT_PATH NO_CMAKE_FIND_ROOT_PATH REQUIRED)
    if(NOT EXISTS ${header_folder}/${name})
      file(CREATE_LINK ${folder_of_${name}}/${name} ${header_folder}/${name} SYMBOLIC)
    endif()
  endforeach()
endfunction()
link_headers(glm fmt fast_float nlohmann CLI doctest tiny_obj_loader.h)
link_headers(Eigen unsupported FROM eigen3)
link_headers(stb_image.h stb_image_write.h stb_truetype.h FROM stb)

set(libraries glm::glm fmt::fmt FastFloat::fast_float nlohmann_json::nlohmann_json tinyobjloader::tinyobjloader
  CLI11::CLI11 Eigen3::Eigen)
if(CMAKE_CROSSCOMPILING) # its package is headers, too, but finds the cases for ctest besides
  list(APPEND libraries doctest::doctest)
endif()
foreach(library ${libraries})
  add_library(${library} INTERFACE IMPORTED GLOBAL)
  target_include_directories(${library} SYSTEM INTERFACE ${header_folder})
endforeach()
# Neither long doubles nor separators of a locale are printed.
target_compile_definitions(fmt::fmt INTERFACE FMT_HEADER_ONLY FMT_USE_LONG_DOUBLE=0 FMT_STATIC_THOUSANDS_SEPARATOR=',')

add_library(header_libraries STATIC ${CMAKE_CURRENT_LIST_DIR}/libraries.cpp)
target_include_directories(header_libraries SYSTEM PUBLIC ${header_folder})
add_library(PkgConfig::stb ALIAS header_libraries)
