// The keys of the business file, and what is wrong with their values.

#include <algorithm>
#include <cctype>

#include "checker.hpp"
#include "described.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/business_file.hpp"

namespace duskcast {
namespace {

constexpr std::uintmax_t most_logo_bytes = 4'000'000; // a page is sent by mail

bool is_colour(const std::string& text) {
    return text.size() == 7 && text[0] == '#' && std::all_of(text.begin() + 1, text.end(), [](char c) {
               return std::isxdigit(static_cast<unsigned char>(c)) != 0;
           });
}

} // namespace

std::string find_picture_type(std::string_view bytes) {
    // The signatures of PNG (ISO 15948), JPEG (ISO 10918-1), GIF89a and WebP (RFC 9649).
    if (bytes.starts_with("\x89PNG\r\n\x1a\n") && bytes.size() > 12 && bytes.substr(12, 4) == "IHDR")
        return "image/png";
    if (bytes.starts_with("\xff\xd8\xff"))
        return "image/jpeg";
    if (bytes.starts_with("GIF87a") || bytes.starts_with("GIF89a"))
        return "image/gif";
    if (bytes.starts_with("RIFF") && bytes.size() > 12 && bytes.substr(8, 4) == "WEBP")
        return "image/webp";
    return "";
}

const Fields* business_fields() {
    static const Fields fields = [] {
        Fields made = describe<Business>(
            "business",
            "Who offers the work, how it should look on paper, and the texts that go with an offer.",
            {{"$schema", unkept_text<Business>(), {}, "Where this schema is, for editors."},
             {"duskcast_business", version<Business>(), needed, "Version of the business file."},
             {"name", text(&Business::name), needed, "What the business is called."},
             {"tagline", text(&Business::tagline), {}, "One line below the name."},
             {"designer", text(&Business::designer), {}, "Who made the design and signs."},
             {"address", text(&Business::address), {}, "Where the business is."},
             {"phone", text(&Business::phone), {}, "Telephone number."},
             {"email", text(&Business::email), {}, "Address for mail."},
             {"website", text(&Business::website), {}, "Its pages on the web."},
             {"licence", text(&Business::licence), {}, "Licence or registration, as it should be printed."},
             {"logo", file(&Business::logo), {}, "PNG, JPEG, GIF or WebP, beside the business file."},
             {"colour", text(&Business::colour), {}, "Of headings: #rrggbb; left out: #22304f."},
             {"accent", text(&Business::accent), {}, "Of marks and lines: #rrggbb; left out: #c98a2b."},
             {"greeting", text(&Business::greeting), {}, "What is said to the client first."},
             {"care", text(&Business::care), {}, "How the lighting is looked after."},
             {"warranty", text(&Business::warranty), {}, "What is warranted, and for how long."},
             {"terms", text(&Business::terms), {}, "Terms of the offer."},
             {"deposit", share(&Business::deposit), within(share_range),
              "Share of the price due when the offer is accepted."},
             {"valid_days", number(&Business::valid_days), within(between(1, 3650), "days"),
              "How long an offer holds; left out: 30."},
             {"hours_a_night", number(&Business::hours_a_night), within(between(0, 24), "hours"),
              "How long the lights are on, for a year's energy; left out: 5."},
             {"nights", number(&Business::nights), within(between(0, 366)),
              "Nights a year that they are on; left out: 365."},
             {"lamp_life", number(&Business::lamp_life), within(between(0, 200000), "hours"),
              "What the lamps are rated for, for a reminder to replace them; left out: none is printed."},
             {"clean_months", number(&Business::clean_months), within(between(1, 120), "months"),
              "Between two cleanings of the lenses; left out: 12."},
             {"markup", number(&Business::markup), within(between(0, 10)),
              "Put on materials and labour where the price list puts nothing on: share of the cost."},
             {"margin", number(&Business::margin), within(between(0, 0.95)),
              "The same as a share of the price; give \"markup\" or \"margin\"."}});
        return made;
    }();
    return &fields;
}

std::vector<Problem> check_business(BusinessFile& made, const std::filesystem::path& folder) {
    const Site stand_in; // for the units that messages speak in
    LampLights no_lights(folder);
    Checker checker{stand_in, no_lights};
    const Business& business = made.business;
    checker.check_fields(*business_fields(), &business, "");
    if (trimmed(business.name).empty())
        checker.error("name", messages::business_without_name());
    if (business.markup && business.margin)
        checker.error("margin", messages::markup_beside_margin());
    for (const auto& [key, colour] :
         {std::pair("colour", &business.colour), std::pair("accent", &business.accent)})
        if (!is_colour(*colour))
            checker.error(key, messages::no_colour(*colour));
    if (!business.logo.empty()) {
        WholeFile whole = read_whole_file(path_in(folder, business.logo), most_logo_bytes);
        made.logo = {find_picture_type(whole.bytes), std::move(whole.bytes)};
        if (whole.fault == FileFault::unreadable)
            checker.error("logo", messages::no_logo(business.logo, whole.reason));
        else if (whole.fault == FileFault::too_large)
            checker.error("logo", messages::too_large_a_logo());
        else if (made.logo.type.empty())
            checker.error("logo", messages::logo_is_no_picture(business.logo));
    }
    return checker.problems;
}

} // namespace duskcast
