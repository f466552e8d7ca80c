#include <cstdio>
#include <exception>
#include <fmt/format.h>

#include "command.hpp"
#include "duskcast/base/version.hpp"

int main(int argc, char** argv) {
    using namespace duskcast;
    CLI::App app{
        "duskcast: see how landscape lights will fall on a house and its trees before a hole is dug.\n"
        "Estimates for designers. Work on mains, ladders and digging follows local codes and licensed "
        "practice."};
    app.set_version_flag("--version", std::string("duskcast ") + duskcast_version);
    app.require_subcommand(1);
    std::function<int()> run;
    add_light_command(app, run);
    add_check_command(app, run);
    add_lamp_command(app, run);
    add_view_command(app, run);
    add_compare_command(app, run);
    add_sweep_command(app, run);
    add_aim_command(app, run);
    add_trust_command(app, run);
    add_share_command(app, run);
    add_merge_command(app, run);
    add_load_command(app, run);
    try {
        app.parse(argc, argv);
        return run();
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? status_done : status_wrong_usage;
    } catch (const InputError& error) {
        print_problems(error.problems());
        return status_input_at_fault;
    } catch (const std::exception& error) {
        fmt::print(stderr, "duskcast: {}\n", error.what());
        return status_input_at_fault;
    }
}
