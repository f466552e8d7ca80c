#pragma once
// The business file (NAME.business.json; src/site/business.schema.json describes it): who offers the work,
// how it should look on paper, and the texts that go with an offer.

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"

namespace duskcast {

/// Texts are the user's own; an empty line in one begins a new paragraph.
struct Business {
    std::string name;
    std::string tagline;
    std::string designer; ///< who signs
    std::string address, phone, email, website, licence;
    std::string logo;               ///< a PNG, JPEG, GIF or WebP, relative to the business file; empty: none
    std::string colour = "#22304f"; ///< of headings and lines
    std::string accent = "#c98a2b"; ///< of marks
    std::string greeting;           ///< on the page after the cover
    std::string care, warranty, terms;
    double deposit = 0;       ///< share of the price due when the offer is accepted, 0..1
    double valid_days = 30;   ///< an offer holds
    double hours_a_night = 5; ///< the lights are on, for a year's energy
    double nights = 365;      ///< a year
    double lamp_life = 0;     ///< hours that the lamps are rated for; 0: not said
    double clean_months = 12; ///< between two cleanings of the lenses
    /// On materials and labour where the price list puts nothing on: a share of the cost, or of the price; at
    /// most one of them.
    std::optional<double> markup, margin;

    bool operator==(const Business&) const = default;
};

/// A picture as it lies in its file.
struct PictureFile {
    std::string type; ///< "image/png"
    std::string bytes;
};

struct BusinessFile {
    Business business;
    PictureFile logo; ///< no bytes: none
    std::vector<Problem> warnings;
};

/// Reads and checks, the logo included; throws InputError with every problem found.
BusinessFile read_business_file(const std::filesystem::path& file);

/// The same from text; `file` names it in messages and is the base of relative paths.
BusinessFile read_business(std::string_view text, const std::filesystem::path& file);

/// What kind of picture the bytes are, by how such files begin: "image/png", "image/jpeg", "image/gif" or
/// "image/webp"; empty: none of these.
std::string find_picture_type(std::string_view bytes);

} // namespace duskcast
