#include <algorithm>
#include <cctype>
#include <set>

#include <fmt/format.h>

#include "sondeline/deliverables.hpp"

namespace sondeline {

namespace {

std::string hyphened(std::string words) {
    std::ranges::replace_if(
        words, [](unsigned char c) { return std::isalnum(c) == 0 || c >= 128; }, '-');
    return words;
}

}  // namespace

std::vector<NamedPicture> named_evidence(const Track& track) {
    std::vector<NamedPicture> named;
    std::set<std::string> taken;
    for (const EvidencePicture& picture : track.evidence) {
        const std::string stem =
            fmt::format("{:07.1f}s-{}", picture.time_s, hyphened(picture.what));
        std::string name = stem;
        for (int number = 2; !taken.insert(name).second; ++number) {
            name = fmt::format("{}-{}", stem, number);
        }
        named.push_back({name + ".png", &picture});
    }
    return named;
}

}  // namespace sondeline
