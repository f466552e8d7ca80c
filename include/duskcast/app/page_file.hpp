#pragma once
// The page written around one property.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// A file by the name that leads to it from the site file, "/" between folders, and its bytes.
struct CarriedFile {
    std::string name;
    std::string bytes;

    bool operator==(const CarriedFile&) const = default;
};

/// Every file that the site names, and those that these name: catalogue, LM-63, OBJ, MTL, textures, photos;
/// each once, by name. Throws InputError for files that cannot be read, lie elsewhere than beside or at most
/// `most_folders_up` above the site file, or come to more than 200 MB.
std::vector<CarriedFile> collect_files(const SiteFile& site_file);

/// A price list as the page takes it up: under its own name, which ends in ".csv". Throws InputError where it
/// cannot be read, or is at fault: a page would open on a list that prices nothing.
CarriedFile carry_price_list(const std::filesystem::path& file);

inline constexpr int most_folders_up = 4;

/// What a page is written around.
struct PageContent {
    std::string text; ///< of the site file
    std::vector<CarriedFile> files;
    bool is_client = false; ///< only to look at, walk round and compare
};

/// `page` is the page as tools/build-web makes it; what it carries is put in the place of its demo. Throws
/// InputError, its place left empty, where it is no such page.
std::string make_page(std::string_view page, const PageContent& content);

} // namespace duskcast
