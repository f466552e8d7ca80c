#include "duskcast/base/version.hpp"

namespace duskcast {

const char* const duskcast_version = DUSKCAST_VERSION; // given by CMake

} // namespace duskcast
