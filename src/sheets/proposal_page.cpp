#include <algorithm>
#include <fmt/format.h>

#include "duskcast/base/text.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/sheets/proposal.hpp"
#include "duskcast/sheets/take_off_words.hpp"
#include "proposal_style.hpp"

namespace duskcast {

namespace {

std::string begin_page(const Proposal& proposal, const std::string& title) {
    const char* size = proposal.paper == Paper::a4       ? "<style>@page { size: A4; }</style>\n"
                       : proposal.paper == Paper::letter ? "<style>@page { size: letter; }</style>\n"
                                                         : "";
    return print_html_head(title, print_proposal_style(proposal.business.business) + size)
        .append(begin_html_body);
}

std::string print_list(const std::vector<std::string>& lines) {
    if (lines.empty())
        return "";
    std::string made = "<ul>";
    for (const std::string& line : lines)
        made += "<li>" + escape_html(line) + "</li>";
    return made + "</ul>\n";
}

std::string print_sentences(const std::vector<std::string>& sentences) {
    std::string made;
    for (const std::string& sentence : sentences)
        made += "<p>" + escape_html(sentence) + "</p>\n";
    return made;
}

std::string print_figure(const PagePicture& picture, const char* css_class, const std::string& caption) {
    if (picture.bytes.empty())
        return "";
    return fmt::format("<figure>{}<figcaption>{}</figcaption></figure>\n", print_picture(picture, css_class),
                       escape_html(caption));
}

/// What one design costs, as a client is told.
struct OfferedPrice {
    std::string materials, labour, tax, total, deposit, balance;
};

OfferedPrice print_price(const TakeOff& take_off, double deposit_share) {
    const std::string unit = take_off.currency.empty() ? "" : " " + take_off.currency;
    OfferedPrice price;
    price.materials = print_cents(take_off.materials_price);
    price.labour = take_off.labour.price ? print_cents(*take_off.labour.price) : "not yet priced";
    price.tax = take_off.tax_share ? print_cents(take_off.tax) : "none";
    if (const std::optional<Cents> total = take_off.total()) {
        const Cents deposit = scale_rounded(
            *total, static_cast<Millionths>(deposit_share * millionths_per_one + 0.5), millionths_per_one);
        price.total = print_cents(*total) + unit;
        price.deposit = print_cents(deposit) + unit;
        price.balance = print_cents(*total - deposit) + unit;
    } else {
        price.total = price.deposit = price.balance = "to be confirmed";
    }
    return price;
}

class ProposalPrinter {
public:
    explicit ProposalPrinter(const Proposal& proposal)
        : proposal_(proposal), business_(proposal.business.business) {}

    std::string print() {
        page_ = begin_page(proposal_, fmt::format("Lighting for {}", proposal_.site_name));
        print_cover();
        print_before_and_after();
        print_features();
        print_views();
        print_plan();
        print_options();
        print_seasons();
        print_texts();
        return page_.append(end_html_body);
    }

private:
    void begin(const char* css_class, const std::string& title) {
        page_ += fmt::format("<section class=\"page {}\">\n<h2>{}</h2>\n", css_class, escape_html(title));
    }
    void end() { page_ += "</section>\n"; }

    void print_cover() {
        page_ += "<header class=\"page cover\">\n" + print_picture(proposal_.cover) +
                 "\n<div class=\"words\">\n<p class=\"kind\">Lighting proposal</p>\n<h1>" +
                 escape_html(proposal_.site_name) + "</h1>\n";
        std::string whom;
        if (!proposal_.client.empty())
            whom = "For " + escape_html(proposal_.client);
        if (!proposal_.date.empty())
            whom += (whom.empty() ? "" : "<br/>") + escape_html(proposal_.date);
        if (!whom.empty())
            page_ += "<p class=\"for\">" + whom + "</p>\n";
        page_ += "<div class=\"who\">";
        if (!proposal_.business.logo.bytes.empty())
            page_ += print_picture(
                {proposal_.business.logo.type, proposal_.business.logo.bytes, "Logo of " + business_.name},
                "logo");
        page_ += "<p><strong>" + escape_html(business_.name) + "</strong>";
        for (const std::string* line : {&business_.tagline, &business_.designer, &business_.address})
            if (!line->empty())
                page_ += "<br/>" + escape_html(*line);
        std::string reach;
        for (const std::string* part :
             {&business_.phone, &business_.email, &business_.website, &business_.licence})
            if (!part->empty())
                reach += (reach.empty() ? "" : " \u00b7 ") + escape_html(*part);
        page_ += (reach.empty() ? "" : "<br/>" + reach) + std::string("</p></div>\n</div>\n</header>\n");
    }

    void print_before_and_after() {
        begin("", "Today, and as it could be");
        page_ += print_paragraphs(business_.greeting);
        page_ += fmt::format("<p class=\"lead\">{}</p>\n", escape_html(proposal_.summary));
        const bool is_photo = proposal_.is_photo;
        page_ += print_figure(proposal_.before, is_photo ? "wide photo" : "wide before",
                              is_photo ? "By day, as it is now." : "Tonight, without the lighting proposed.");
        page_ += print_figure(proposal_.cover, is_photo ? "wide photo" : "wide after",
                              "With the lighting proposed.");
        end();
    }

    void print_articles(const std::vector<ProposalPicture>& pictures, bool is_list) {
        for (const ProposalPicture& picture : pictures)
            page_ +=
                fmt::format("<article>{}<h3>{}</h3>{}</article>\n", print_picture(picture.picture),
                            escape_html(picture.title),
                            is_list ? print_list(picture.sentences) : print_sentences(picture.sentences));
    }

    void print_features() {
        if (proposal_.features.empty())
            return;
        begin("", "What is lit");
        constexpr std::size_t most_in_pairs = 4, most_in_threes = 9; // fill a page
        const std::size_t count = proposal_.features.size();
        page_ += fmt::format("<div class=\"pairs{}\">\n", count > most_in_threes  ? " fours"
                                                          : count > most_in_pairs ? " threes"
                                                                                  : "");
        print_articles(proposal_.features, false);
        page_ += "</div>\n";
        end();
    }

    void print_views() {
        const bool is_one = proposal_.views.size() == 1;
        begin(proposal_.views.size() > 2 ? "views-page" : "",
              is_one ? "How you will see it" : "Arriving and leaving");
        page_ += fmt::format("<div class=\"views{}\">\n", proposal_.views.size() > 2 ? " many" : "");
        print_articles(proposal_.views, true);
        page_ += "</div>\n";
        end();
    }

    void print_plan() {
        begin("", "The plan and its lights");
        page_ += print_picture(proposal_.plan, "plan") + "\n";
        page_ += "<table><thead><tr><td></td><th>Light</th><th>Lamp</th><th>Where</th></tr></thead><tbody>\n";
        for (std::size_t i = 0; i < proposal_.fixtures.size(); ++i) {
            const ProposalFixture& row = proposal_.fixtures[i];
            page_ += fmt::format("<tr><td><span class=\"number-mark\">{}</span></td><td>{}</td><td>{}</td>"
                                 "<td>{}</td></tr>\n",
                                 i + 1, escape_html(row.name), escape_html(titled(row.lamp)),
                                 escape_html(row.place));
        }
        page_ += "</tbody></table>\n";
        end();
    }

    /// One row of the table of options; `cell` gives HTML.
    template <class Cell> void print_row(const char* heading, const char* css_class, const Cell& cell) {
        page_ += fmt::format("<tr{}><th scope=\"row\">{}</th>",
                             *css_class == 0 ? "" : fmt::format(" class=\"{}\"", css_class), heading);
        for (const ProposalOption& option : proposal_.options)
            page_ +=
                fmt::format("<td{}>{}</td>", option.is_proposed ? " class=\"proposed\"" : "", cell(option));
        page_ += "</tr>\n";
    }

    static std::string join_lines(const std::vector<std::string>& lines, const std::string& none) {
        std::string made;
        for (const std::string& line : lines)
            made += (made.empty() ? "" : "<br/>") + escape_html(line);
        return made.empty() ? none : made;
    }

    void print_options() {
        static constexpr std::array ranks = {"Good", "Better", "Best"};
        const bool is_choice = proposal_.options.size() > 1;
        const bool is_ranked = proposal_.options.size() == ranks.size();
        begin("", is_ranked ? "Good, better, best" : is_choice ? "Designs to choose from" : "The price");
        page_ += "<div class=\"scroll\"><table class=\"options\"><thead>\n";
        print_row("By night", "", [](const ProposalOption& option) { return print_picture(option.picture); });
        std::size_t rank = 0;
        print_row("Design", "name", [&](const ProposalOption& option) {
            const std::string tag = is_ranked ? ranks[rank++] : "";
            return fmt::format("{}<strong>{}</strong>",
                               tag.empty() ? "" : fmt::format("<span class=\"tag\">{}</span><br/>", tag),
                               escape_html(option.name));
        });
        page_ += "</thead><tbody>\n";
        if (is_choice)
            print_row("What changes", "", [](const ProposalOption& option) {
                return join_lines(option.changes,
                                  option.is_proposed ? "The design on these pages" : "The same lights");
            });
        print_row("Lights", "",
                  [](const ProposalOption& option) { return join_lines(option.fixtures, "none"); });
        print_row("Power", "", [](const ProposalOption& option) {
            return escape_html(fmt::format("{} watts", print_number(option.watts)));
        });
        print_row("Energy", "", [](const ProposalOption& option) { return print_energy(option); });
        if (proposal_.options.front().take_off)
            print_prices();
        page_ += "</tbody></table></div>\n";
        print_price_notes();
        end();
    }

    static std::string print_energy(const ProposalOption& option) {
        if (!option.energy)
            return "";
        std::string text = fmt::format("about {:.0f} kWh a year", option.energy->kilowatt_hours);
        if (option.energy->cost) {
            text += ", " + print_cents(*option.energy->cost);
            if (option.take_off && !option.take_off->currency.empty())
                text += "\u00a0" + option.take_off->currency;
        }
        return escape_html(text);
    }

    void print_prices() {
        const auto priced = [&](std::string OfferedPrice::*part) {
            return [this, part](const ProposalOption& option) {
                return escape_html(print_price(*option.take_off, business_.deposit).*part);
            };
        };
        print_row("Materials", "", priced(&OfferedPrice::materials));
        print_row("Installation", "", priced(&OfferedPrice::labour));
        print_row("Tax", "", priced(&OfferedPrice::tax));
        print_row("Total", "total", priced(&OfferedPrice::total));
        if (business_.deposit > 0) {
            print_row("On acceptance", "", priced(&OfferedPrice::deposit));
            print_row("On completion", "", priced(&OfferedPrice::balance));
        }
        const bool is_missing =
            std::any_of(proposal_.options.begin(), proposal_.options.end(),
                        [](const ProposalOption& option) { return !option.take_off->is_complete(); });
        if (is_missing)
            print_row("Not yet priced", "", [](const ProposalOption& option) {
                std::vector<std::string> names;
                for (const MissingPrice& missing : option.take_off->missing)
                    names.push_back(describe_missing(missing).what);
                return join_lines(names, "nothing");
            });
    }

    void print_price_notes() {
        std::vector<std::string> notes;
        if (!proposal_.options.front().take_off)
            notes.push_back("Prices follow separately.");
        for (const ProposalOption& option : proposal_.options)
            if (option.take_off && !option.has_cable)
                notes.push_back(fmt::format("{}: cable and transformer come in addition.", option.name));
        if (proposal_.options.front().take_off)
            notes.push_back(
                fmt::format("These prices hold for {} days from {}.", print_number(business_.valid_days),
                            proposal_.date.empty() ? "the date of this proposal" : proposal_.date));
        const ProposalOption& first = proposal_.options.front();
        if (first.energy)
            notes.push_back(fmt::format("Energy is reckoned for {} hours on {} nights.",
                                        print_number(first.energy->use.hours_a_night),
                                        print_number(first.energy->use.nights)));
        page_ += "<div class=\"note keep\">" + print_sentences(notes) + "</div>\n";
    }

    void print_seasons() {
        if (proposal_.seasons.empty())
            return;
        begin("", "Through the seasons, and as it grows");
        page_ += "<div class=\"pairs\">\n";
        print_articles(proposal_.seasons, false);
        page_ += "</div>\n";
        end();
    }

    void print_texts() {
        begin("texts", "Care, warranty and terms");
        const auto add = [&](const char* title, const std::string& text) {
            if (!text.empty())
                page_ += fmt::format("<section class=\"keep\"><h3>{}</h3>{}</section>\n", title,
                                     print_paragraphs(text));
        };
        add("Care", business_.care);
        add("Warranty", business_.warranty);
        add("Terms", business_.terms);
        if (!proposal_.service.empty())
            page_ += "<section class=\"keep\"><h3>When service is due</h3>\n" +
                     print_list(proposal_.service) + "</section>\n";
        page_ += "<section class=\"keep\"><h3>What to know</h3>\n" + print_list(proposal_.cautions) +
                 "</section>\n";
        page_ += "<section class=\"keep\"><h3>Agreed</h3>\n<p>";
        std::string choices;
        if (proposal_.options.size() > 1)
            for (const ProposalOption& option : proposal_.options)
                choices += "\u2610 " + escape_html(option.name) + " \u00a0 ";
        page_ += choices + "</p>\n<div class=\"sign\"><div>" +
                 escape_html(proposal_.client.empty() ? "Client" : proposal_.client) +
                 "</div><div>Date</div><div>" +
                 escape_html(business_.designer.empty() ? business_.name
                                                        : business_.designer + ", " + business_.name) +
                 "</div><div>Date</div></div></section>\n<p class=\"small\"><br/>" +
                 escape_html(proposal_.origin) + "</p>\n";
        end();
    }

    const Proposal& proposal_;
    const Business& business_;
    std::string page_;
};

} // namespace

std::string print_proposal(const Proposal& proposal) {
    return ProposalPrinter(proposal).print();
}

std::string print_technical_sheets(const Proposal& proposal) {
    std::string page = begin_page(proposal, fmt::format("{}: technical sheets", proposal.site_name));
    page += fmt::format("<section class=\"page technical\">\n<h1>{}: technical sheets</h1>\n<p>{}</p>\n",
                        escape_html(proposal.site_name), escape_html(proposal.origin));
    page += "<h2><br/>Schedule of fixtures</h2>\n<table><thead><tr><td></td><th>Id</th><th>Fixture</th>"
            "<th>Lamp</th><th>Where</th><th>Set</th></tr></thead><tbody>\n";
    for (std::size_t i = 0; i < proposal.fixtures.size(); ++i) {
        const ProposalFixture& row = proposal.fixtures[i];
        page += fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>\n",
                            i + 1, escape_html(row.id), escape_html(row.name), escape_html(row.lamp),
                            escape_html(row.spot), escape_html(row.aim));
    }
    page += "</tbody></table>\n</section>\n";
    for (const std::vector<PagePicture>* pictures : {&proposal.diagrams, &proposal.plates})
        for (const PagePicture& picture : *pictures)
            page += "<section class=\"page technical\">\n" + print_picture(picture) + "\n</section>\n";
    page += "<section class=\"page technical\">\n";
    for (const ProposalLines& table : proposal.tables) {
        page += "<h2>" + escape_html(table.title) + "</h2>\n<pre>";
        for (const std::string& line : table.lines)
            page += escape_html(line) + "\n";
        page += "</pre>\n<p>&nbsp;</p>\n";
    }
    return page.append("</section>\n").append(end_html_body);
}

} // namespace duskcast
