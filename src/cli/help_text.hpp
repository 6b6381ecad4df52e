// The help of a command, for a terminal of 80 columns.
#pragma once

#include <string>

#include <CLI/CLI.hpp>

namespace sondeline::cli {

// Descriptions wrapped beside their option; what an option takes stands as one plain word: its
// option_text, or N for a number. Set it before subcommands are added, which inherit it.
class HelpText : public CLI::Formatter {
  public:
    HelpText();
    std::string make_option(const CLI::Option* option, bool is_positional) const override;
    std::string make_option_opts(const CLI::Option* option) const override;
    std::string make_subcommand(const CLI::App* command) const override;
};

}  // namespace sondeline::cli
