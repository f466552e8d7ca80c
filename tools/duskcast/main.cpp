#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <exception>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <system_error>

#include "command.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/draw/canvas.hpp"
#include "system.hpp"

namespace {

using namespace duskcast;

void complain(const std::string& what) {
    std::fputs(("duskcast: " + what + "\n").c_str(), stderr);
}

/// Said once where files of pictures are asked for that this build draws in another way.
void tell_format(const CLI::App& app) {
    const CLI::Option* out = app.get_subcommands().front()->get_option_no_throw("--out");
    if (out != nullptr && out->count() > 0 && picture_formats(false).front() == PictureFormat::svg)
        std::fputs("this duskcast was built without cairo, so its pictures are SVG files\n", stderr);
}

/// The first word, where it should be a command and is none.
void check_command(const CLI::App& app, const std::vector<std::string>& arguments) {
    const std::string word = arguments.size() > 1 ? arguments[1] : "";
    std::vector<std::string> known;
    for (const CLI::App* command : app.get_subcommands({}))
        known.push_back(command->get_name());
    if (word.empty() || word.starts_with("-") || std::find(known.begin(), known.end(), word) != known.end())
        return;
    const std::string nearest = find_nearest_word(word, known);
    throw CLI::ValidationError(fmt::format("there is no command \"{}\"; {}", word,
                                           nearest.empty()
                                               ? fmt::format("the commands are {}", fmt::join(known, ", "))
                                               : fmt::format("did you mean \"{}\"?", nearest)));
}

/// A list of nothing but commas, which CLI11 would call missing.
void refuse_bare_commas(const std::vector<std::string>& arguments) {
    for (std::size_t i = 1; i < arguments.size(); ++i) {
        const std::string& word = arguments[i];
        const std::size_t equals = word.starts_with("--") ? word.find('=') : std::string::npos;
        const bool is_value = arguments[i - 1].starts_with("--");
        const std::string value = equals != std::string::npos ? word.substr(equals + 1)
                                  : is_value                  ? word
                                                              : "";
        if (!value.empty() && value.find_first_not_of(',') == std::string::npos)
            throw CLI::ValidationError(equals != std::string::npos ? word.substr(0, equals)
                                                                   : arguments[i - 1],
                                       fmt::format("\"{}\" names nothing", value));
    }
}

/// A value of "" is a slip, mostly of a shell's variable: of a folder, an id or a file alike.
void refuse_empty_values(CLI::App& app) {
    const CLI::Validator is_given{
        [](const std::string& text) { return text.empty() ? "the value is empty" : ""; }, "", "is_given"};
    for (CLI::App* command : app.get_subcommands({}))
        for (CLI::Option* option : command->get_options())
            if (option->get_items_expected_max() > 0)
                option->check(is_given);
}

int run_program(const std::vector<std::string>& arguments) {
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
    add_suggest_command(app, run);
    add_tolerance_command(app, run);
    add_contribution_command(app, run);
    add_merge_command(app, run);
    add_load_command(app, run);
    add_page_command(app, run);
    add_photo_command(app, run);
    add_propose_command(app, run);
    add_aim_sheet_command(app, run);
    add_night_check_command(app, run);
    add_schema_command(app, run);
    refuse_empty_values(app);
    try {
        check_command(app, arguments);
        refuse_bare_commas(arguments);
        std::vector<const char*> words;
        for (const std::string& argument : arguments)
            words.push_back(argument.c_str());
        words.push_back(nullptr);
        app.parse(static_cast<int>(arguments.size()), words.data());
        tell_format(app);
        return run();
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? status_done : status_wrong_usage;
    } catch (const InputError& error) {
        print_problems(error.problems());
        return is_wrong_usage(error.problems()) ? status_wrong_usage : status_input_at_fault;
    } catch (const std::exception& error) {
        complain(error.what());
        return status_input_at_fault;
    }
}

} // namespace

int main(int argc, char** argv) {
    keep_freed_memory();
    reserve_streams();
    end_on_signals(OutputFolder::abandon_all);
    const int status = run_program(list_arguments(argc, argv));
    errno = 0;
    if (std::fflush(stdout) != 0 || std::ferror(stdout) != 0) {
        complain(fmt::format("what should have been printed is lost ({})",
                             std::generic_category().message(errno != 0 ? errno : EIO)));
        return status == status_done ? status_input_at_fault : status;
    }
    return status;
}
