#pragma once

namespace duskcast {

/// Same as in CMakeLists.txt; tests/measure compares them.
inline constexpr const char* duskcast_version = "0.1.0";

} // namespace duskcast
