#include "cli/help_text.hpp"

#include "cli/print_outcome.hpp"

namespace sondeline::cli {

namespace {

constexpr std::size_t description_from = 24;

// The name in front, on a line of its own where it is too wide for that.
std::string beside(const std::string& name, const std::string& description) {
    const std::string front = "  " + name;
    if (description.empty()) return front + "\n";
    const std::string body =
        wrapped(std::string(description_from, ' ') + description, description_from);
    if (shown_width(front) + 2 > description_from) return front + "\n" + body;
    return padded(front, description_from) + body.substr(description_from);
}

}  // namespace

HelpText::HelpText() {
    label("SUBCOMMAND", "COMMAND");
    label("Subcommands", "Commands");
    label("Positionals", "Folders and files");
}

std::string HelpText::make_option_opts(const CLI::Option* option) const {
    if (!option->get_option_text().empty()) return " " + option->get_option_text();
    if (option->get_type_name().empty()) return "";  // a flag
    if (option->get_positional()) {
        const bool many = option->get_expected_max() == CLI::detail::expected_max_vector_size;
        return many ? " …" : "";
    }
    return " N";
}

std::string HelpText::make_option(const CLI::Option* option, bool is_positional) const {
    const bool must = option->get_required() && !is_positional;
    return beside(make_option_name(option, is_positional) + make_option_opts(option),
                  make_option_desc(option) + (must ? " (needed)" : ""));
}

std::string HelpText::make_subcommand(const CLI::App* command) const {
    return beside(command->get_name(), command->get_description());
}

}  // namespace sondeline::cli
