#pragma once
// An offer to a client: what the light will do, in pictures and plain words, and what it costs.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/cost/energy.hpp"
#include "duskcast/cost/take_off.hpp"
#include "duskcast/light/lighting.hpp"
#include "duskcast/sheets/html.hpp"
#include "duskcast/site/business_file.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// A picture with what is said of it.
struct ProposalPicture {
    std::string title;
    PagePicture picture;
    std::vector<std::string> sentences;
};

/// One of the designs to choose from.
struct ProposalOption {
    std::string name;
    PagePicture picture;
    std::vector<std::string> changes;  ///< against the design proposed
    std::vector<std::string> fixtures; ///< "7 bullets with shroud"
    std::size_t fixture_count = 0;
    double watts = 0; ///< of the lamps
    bool is_proposed = false;
    bool has_cable = false;          ///< cable and transformer are in the take-off
    std::optional<TakeOff> take_off; ///< none: no price list
    std::optional<YearlyEnergy> energy;
};

/// A row of the list of fixtures.
struct ProposalFixture {
    std::string id, name, lamp, place;
    // For the technical sheets:
    std::string spot; ///< "2 ft 6 in from the left corner of the south face of house"
    std::string aim;  ///< "15 in back, tilt 6°"
};

struct ProposalLines {
    std::string title;
    std::vector<std::string> lines;
};

/// What it is printed on; none of the two: whatever the browser is set to.
enum class Paper { any, letter, a4 };

struct Proposal {
    BusinessFile business;
    std::string site_name;
    std::string client, date; ///< as they should be printed; may be empty
    std::string origin;       ///< which version of which program drew it from which file
    LengthUnit units = LengthUnit::foot;
    Paper paper = Paper::any;

    PagePicture cover, before; ///< of the first view
    bool is_photo = false;     ///< cover and before are the site's first photo instead, by night and by day
    std::string summary;       ///< how many lights, watts
    std::vector<ProposalPicture> features, views, seasons;
    PagePicture plan;
    std::vector<ProposalFixture> fixtures; ///< in the order of the plan's numbers
    std::vector<ProposalOption> options;   ///< the least first
    std::vector<std::string> service;      ///< what is due in the years after
    std::vector<std::string> cautions;

    std::vector<PagePicture> plates; ///< for the technical sheets
    std::vector<PagePicture> diagrams;
    std::vector<ProposalLines> tables;
};

struct ProposalChoice {
    std::string client, date;
    std::optional<PriceList> prices;
    double labour_hours = 0; ///< beyond those of the list's items
    bool is_quick = false;   ///< small pictures, for a first look
    Paper paper = Paper::any;
};

/// Lights the site and its variants, and draws everything. Throws InputError as reading and lighting do, and
/// where the site has neither view nor photo, or no fixture.
Proposal make_proposal(const SiteFile& site_file, const BusinessFile& business, const ProposalChoice& choice,
                       const Progress& progress = {});

/// The designs to choose from with what they cost, pictures left out: the site as it is and up to three of
/// its variants with other fixtures or lamps, the least expensive first.
std::vector<ProposalOption> make_options(const SiteFile& site_file, const ProposalChoice& choice,
                                         const Business& business, std::vector<Site>& sites);

/// The price list with what the business puts on where the list says nothing. Its price list is there.
PriceList find_prices(const ProposalChoice& choice, const Business& business);

/// For the client: one HTML file with everything in it, which prints on Letter and A4.
std::string print_proposal(const Proposal& proposal);
/// The technical sheets that go with it: plates, schedule, load, one-line.
std::string print_technical_sheets(const Proposal& proposal);

} // namespace duskcast
