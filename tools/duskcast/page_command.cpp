// duskcast page SITE --out FILE

#include <filesystem>
#include <fmt/format.h>
#include <memory>

#include "command.hpp"
#include "duskcast/app/page_file.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/cost/price_list.hpp"
#include "system.hpp"

namespace duskcast {

namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t most_page_bytes = 100'000'000;
constexpr std::uintmax_t most_site_bytes = 50'000'000;

struct PageOptions {
    std::string site;
    std::string out;
    std::string prices;
    bool is_client = false;
};

/// The page as it was built: beside the program, where it was installed, or in the source folder's builds.
std::string read_built_page() {
    const fs::path program = find_program().parent_path();
    for (const char* place :
         {"duskcast.html", "../share/duskcast/duskcast.html", "../../build-web/page/duskcast.html"}) {
        WholeFile whole = read_whole_file(program / place, most_page_bytes);
        if (whole.fault == FileFault::none)
            return std::move(whole.bytes);
    }
    throw InputError(
        Problem{.what = "this duskcast was built without the page",
                .remedy = "run tools/setup --web and tools/build-web, or put duskcast.html into " +
                          text_of(program)});
}

int run_page(const PageOptions& options) {
    const SiteFile site_file = read_site_file(options.site);
    PageContent content{.files = collect_files(site_file), .is_client = options.is_client};
    content.text = read_whole_file(options.site, most_site_bytes).bytes;
    if (!options.prices.empty())
        content.files.push_back(carry_price_list(options.prices));
    const std::string page = make_page(read_built_page(), content);
    write_text_file(options.out, page);
    print_problems(site_file.warnings);
    fmt::print("{}: {:.1f} MB, with {} of the site's files{}{}\n", options.out,
               static_cast<double>(page.size()) / 1e6,
               content.files.size() - (options.prices.empty() ? 0 : 1),
               options.prices.empty() ? "" : " and the price list",
               options.is_client ? "; nothing can be changed in it" : "");
    return status_done;
}

} // namespace

void add_page_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "page", "Write one HTML file with the whole program and a site in it, which opens anywhere");
    auto options = std::make_shared<PageOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json)")->required();
    command->add_option("--out", options->out, "file to write: house.html")->required();
    auto* client =
        command->add_flag("--client", options->is_client,
                          "only to look at, walk round and compare options; nothing can be changed");
    // A client need not know what things are bought for, and what is put on that.
    command->add_option("--prices", options->prices, "price list (.csv) to price the design with")
        ->excludes(client);
    command->callback([options, &run] { run = [options] { return run_page(*options); }; });
}

} // namespace duskcast
