#pragma once

namespace duskcast {

/// To be kept equal to the project version in CMakeLists.txt.
inline constexpr const char* duskcast_version = "0.1.0";

} // namespace duskcast
