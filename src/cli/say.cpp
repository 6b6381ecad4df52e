#include "cli/say.hpp"

#include <cstdio>

namespace sondeline::cli {

void say(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stdout);
    std::fflush(stdout);
}

void complain(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fputc('\n', stderr);
    std::fflush(stderr);
}

bool said_all() {
    return std::fflush(stdout) == 0 && std::ferror(stdout) == 0;
}

}  // namespace sondeline::cli
