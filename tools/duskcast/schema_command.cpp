// duskcast schema site|catalogue|business

#include <fmt/format.h>
#include <memory>

#include "command.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/site/fields.hpp"

namespace duskcast {

void add_schema_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "schema", "Print the JSON Schema of a file, with which an editor completes and checks it");
    command->group(""); // for editors; of no use at a site
    auto kind = std::make_shared<std::string>();
    auto out = std::make_shared<std::string>();
    command->add_option("FILE", *kind, "which file: site, catalogue or business")
        ->required()
        ->check(CLI::IsMember({"site", "catalogue", "business"}));
    command->add_option("--out", *out, "file to write to; default: print");
    command->callback([kind, out, &run] {
        run = [kind, out] {
            const std::string schema = *kind == "site"        ? print_site_schema()
                                       : *kind == "catalogue" ? print_catalogue_schema()
                                                              : print_business_schema();
            if (out->empty())
                fmt::print("{}", schema);
            else
                write_text_file(*out, schema);
            return status_done;
        };
    });
}

} // namespace duskcast
