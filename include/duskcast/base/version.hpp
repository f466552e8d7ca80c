#pragma once

namespace duskcast {

/// The project's version in CMakeLists.txt, "0.1.0".
extern const char* const duskcast_version;

} // namespace duskcast
