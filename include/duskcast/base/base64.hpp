#pragma once
// Bytes as text of 64 letters (RFC 4648 section 4).

#include <string>
#include <string_view>

namespace duskcast {

std::string print_base64(std::string_view bytes);

} // namespace duskcast
