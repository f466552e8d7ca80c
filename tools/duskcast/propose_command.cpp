// duskcast propose SITE --out DIR

#include <algorithm>
#include <fmt/format.h>
#include <memory>
#include <tuple>

#include "command.hpp"
#include "duskcast/app/page_file.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/sheets/coverage_images.hpp"
#include "duskcast/sheets/proposal.hpp"
#include "duskcast/sheets/take_off_words.hpp"
#include "system.hpp"

namespace duskcast {

namespace {

namespace fs = std::filesystem;

constexpr const char* pages[] = {"proposal.html", "technical.html"};
constexpr const char* made_from = ".duskcast-propose.made-from";

struct ProposeOptions {
    std::string site, out, business, prices, client, date, paper;
    double labour_hours = 0;
    bool pdf = false;
    bool draft = false;
    bool images = false;
    SeasonOptions season;
};

/// Every price that the list lacks is named, once for all designs.
void tell_missing_prices(const std::string& list, const std::vector<ProposalOption>& options) {
    std::vector<Problem> problems;
    for (const ProposalOption& option : options)
        if (option.take_off)
            for (const MissingPrice& missing : option.take_off->missing) {
                const MissingPriceWords words = describe_missing(missing);
                const Problem problem{.severity = Severity::warning,
                                      .place = {.file = list},
                                      .what = fmt::format("missing: {} ({})", words.what, words.hint),
                                      .remedy = "the totals are left open until the list has it"};
                if (std::find(problems.begin(), problems.end(), problem) == problems.end())
                    problems.push_back(problem);
            }
    print_problems(problems);
}

/// For the business, and in neither page: what is put on the cost, where that comes from, and what it leaves.
void tell_earnings(const ProposalChoice& choice, const Business& business,
                   const std::vector<ProposalOption>& options) {
    const PriceList prices = find_prices(choice, business);
    for (const auto& [what, own, used] : {std::tuple("materials", choice.prices->materials, prices.materials),
                                          std::tuple("labour", choice.prices->labour, prices.labour)})
        fmt::print("{}{}\n", print_surcharge(what, used),
                   used.kind == Surcharge::Kind::none ? ""
                   : own == used                      ? " The price list says so."
                                                      : " The business file says so.");
    for (const ProposalOption& option : options)
        fmt::print("{}: {}\n", option.name, print_earnings(*option.take_off));
}

/// A browser that makes PDFs. Throws InputError where there is none.
std::string require_browser() {
    const std::string browser = find_browser();
    if (browser.empty())
        throw InputError(Problem{
            .place = {.path = "--pdf"},
            .what = "no browser was found that makes PDFs",
            .remedy = "install Chromium, Chrome or Edge, set DUSKCAST_BROWSER to one, or leave --pdf out, "
                      "open proposal.html in any browser and print it"});
    return browser;
}

/// Turns the pages into PDFs beside them.
void print_pdfs(const std::string& browser, const fs::path& folder) {
    for (const char* page : pages) {
        const fs::path html = fs::absolute(folder / page);
        fs::path pdf = html;
        pdf.replace_extension(".pdf");
        if (!run_browser_to_pdf(browser, html, pdf))
            throw InputError(
                Problem{.place = {.path = "--pdf"},
                        .what = fmt::format("{} did not make {}", browser, text_of(pdf)),
                        .remedy = fmt::format("open {} in a browser and print it", text_of(html))});
        fmt::print("{}\n", text_of(folder / pdf.filename()));
    }
}

/// All that the pages depend on as one number, this program included; none where a file of it cannot be read.
std::optional<std::uint64_t> find_origin(const SiteFile& site_file, const BusinessFile& business,
                                         const ProposeOptions& options) {
    constexpr std::uintmax_t most_bytes = 500'000'000;
    std::uint64_t origin = site_file.hash;
    const auto add = [&](std::string_view bytes) { origin = join_seeds(origin, hash_of(bytes)); };
    const auto add_file = [&](const fs::path& file) {
        const WholeFile whole = read_whole_file(file, most_bytes);
        add(whole.bytes);
        return whole.fault == FileFault::none;
    };
    add(fmt::format("{}\n{}\n{}\n{}\n{}\n{}\n{}", options.paper, options.client, options.date,
                    options.labour_hours, options.draft, options.season.season, options.season.years_on));
    add(business.logo.bytes);
    for (const std::string& file : {options.business, options.prices})
        if (!file.empty() && !add_file(path_in({}, file)))
            return std::nullopt;
    for (const Photo& photo : site_file.site.photos)
        if (!add_file(path_in(site_file.folder(), photo.file)))
            return std::nullopt;
    if (!add_file(find_program()))
        return std::nullopt;
    try {
        for (const CarriedFile& file : collect_files(site_file)) {
            add(file.name);
            add(file.bytes);
        }
    } catch (const InputError&) { // such as a file elsewhere on the disk
        return std::nullopt;
    }
    return origin;
}

/// What stands in the folder beside pages that are whole.
std::string print_made_from(std::uint64_t origin, const std::vector<std::string>& texts) {
    std::string text = fmt::format("{:016x}\n", origin);
    for (const std::string& page : texts)
        text += fmt::format("{:016x}\n", hash_of(page));
    return text;
}

/// Whether the folder holds what a new run would write, to the letter.
bool is_made(const fs::path& folder, std::uint64_t origin) {
    std::vector<std::string> texts;
    for (const char* page : pages)
        texts.push_back(read_whole_file(folder / page, 500'000'000).bytes);
    const std::string now = print_made_from(origin, texts);
    return read_whole_file(folder / made_from, now.size()).bytes == now;
}

int run_images(SiteFile& site_file, const ProposeOptions& options, ProgressLine& progress) {
    locate_errors(site_file, [&] {
        const std::vector<CoverageImage> images =
            draw_coverage_images(site_file, [&](double share) { progress.show("drawing", share); });
        OutputFolder folder(options.out, "propose-images");
        for (const CoverageImage& image : images)
            folder.write(fs::path("images") / (image.id + ".png"), image.png);
        folder.finish();
        progress.clear();
        print_problems(site_file.warnings);
        for (const CoverageImage& image : images)
            fmt::print("{}\n", (fs::path(options.out) / "images" / (image.id + ".png")).generic_string());
    });
    return status_done;
}

int run_propose(const ProposeOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    const std::string browser = options.pdf ? require_browser() : "";
    SiteFile site_file = read_site_file(options.site);
    apply_season(options.season, site_file);
    if (options.images)
        return run_images(site_file, options, progress);
    BusinessFile business;
    if (!options.business.empty())
        business = read_business_file(path_in({}, options.business));
    ProposalChoice choice{.client = options.client,
                          .date = options.date,
                          .labour_hours = options.labour_hours,
                          .is_quick = options.draft,
                          .paper = options.paper == "a4"       ? Paper::a4
                                   : options.paper == "letter" ? Paper::letter
                                                               : Paper::any};
    if (!options.prices.empty())
        choice.prices = read_price_list_file(options.prices);
    locate_errors(site_file, [&] {
        const std::optional<std::uint64_t> origin = find_origin(site_file, business, options);
        std::vector<ProposalOption> offered;
        if (origin && is_made(path_in({}, options.out), *origin)) {
            std::vector<Site> sites;
            offered = make_options(site_file, choice, business.business, sites);
        } else {
            Proposal proposal = make_proposal(site_file, business, choice,
                                              [&](double share) { progress.show("drawing", share); });
            const std::vector<std::string> texts{print_proposal(proposal), print_technical_sheets(proposal)};
            OutputFolder folder(options.out, "propose");
            for (std::size_t i = 0; i < texts.size(); ++i)
                folder.write(pages[i], texts[i]);
            if (origin)
                folder.write(made_from, print_made_from(*origin, texts));
            folder.finish();
            offered = std::move(proposal.options);
        }
        progress.clear();
        print_problems(site_file.warnings);
        print_problems(business.warnings);
        tell_missing_prices(options.prices, offered);
        if (choice.prices)
            tell_earnings(choice, business.business, offered);
        for (const char* page : pages)
            fmt::print("{}\n", text_of(fs::path(options.out) / page));
    });
    if (options.pdf)
        print_pdfs(browser, path_in({}, options.out));
    return status_done;
}

} // namespace

void add_propose_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "propose",
        "Write a proposal for the client: pictures, plan, options and prices, to print or to send");
    auto options = std::make_shared<ProposeOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json) with \"views\"")->required();
    command->add_option("--out", options->out, "folder for proposal.html and technical.html")->required();
    command->add_option("--business", options->business,
                        "business file (NAME.business.json): name, logo, colours, texts, deposit");
    auto* prices =
        command->add_option("--prices", options->prices, "price list (CSV): adds prices to the options");
    command
        ->add_option("--labour-hours", options->labour_hours,
                     "hours beyond those of the list's items: the walk round, aiming at night")
        ->check(in_range(0, 10000))
        ->needs(prices);
    command->add_option("--client", options->client, "whom it is for, as it should be printed");
    command->add_option("--date", options->date, "date, as it should be printed; default none");
    add_season_options(*command, options->season);
    command
        ->add_option("--paper", options->paper,
                     "what the pages are printed on; default what the browser is set to")
        ->check(CLI::IsMember({"a4", "letter"}));
    command->add_flag("--draft", options->draft, "small pictures, for a quick look");
    auto* images = command->add_flag(
        "--images", options->images,
        "only the coverage pictures, each 2400 x 1600 pixels on one scale, for a proposal of your own");
    command
        ->add_flag("--pdf", options->pdf,
                   "also PDFs of both, by a Chromium, Chrome or Edge that is installed")
        ->excludes(images);
    command->callback([options, &run] { run = [options] { return run_propose(*options); }; });
}

} // namespace duskcast
