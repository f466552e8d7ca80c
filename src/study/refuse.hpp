#pragma once

#include <string>
#include <utility>

#include "duskcast/base/problem.hpp"

namespace duskcast {

/// Throws InputError. The place is for the caller to add: an option of the command line as a rule.
[[noreturn]] inline void refuse(std::string what, std::string remedy) {
    throw InputError(Problem{.what = std::move(what), .remedy = std::move(remedy)});
}

} // namespace duskcast
