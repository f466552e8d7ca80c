#pragma once
// What the targets share: how an input is read, and what ends a run.

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <string_view>

#include "duskcast/base/problem.hpp"

namespace duskcast::fuzz {

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}

/// Ends the run, with the input kept, where what must hold does not.
inline void require(bool holds) {
    if (!holds)
        std::abort();
}

/// What `read` makes of the input; none where it is refused as a user's slip is, with InputError. Anything
/// else that is thrown is caught nowhere and ends the run.
template <class Read> auto read_or_refuse(Read read) -> std::optional<decltype(read())> {
    try {
        return read();
    } catch (const InputError&) {
        return std::nullopt;
    }
}

} // namespace duskcast::fuzz
