#pragma once

#include <string>

#include "duskcast/base/problem.hpp"

namespace duskcast::test {

/// What a call says when it throws.
template <class Call> std::string message_of(Call call) {
    try {
        call();
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

} // namespace duskcast::test
