#pragma once
// What a PNG says of itself.

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace duskcast {

/// The PNG with a text for each key, in iTXt chunks after its header (PNG, ISO/IEC 15948, 11.3.4.5). Keys are
/// Latin letters; texts are UTF-8. Throws std::invalid_argument for what is no PNG.
std::string add_png_text(std::string_view png, const std::vector<std::pair<std::string, std::string>>& texts);

} // namespace duskcast
