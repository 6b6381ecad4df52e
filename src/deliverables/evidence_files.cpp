#include <algorithm>
#include <cctype>
#include <filesystem>
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

std::vector<std::string> evidence_folders(const Job& job) {
    std::vector<std::string> names;
    for (const FootageFile& file : job.footage) {
        names.push_back(std::filesystem::path(file.name).stem().string());
    }
    std::vector<std::string> folders = file_stems(names);
    for (std::string& folder : folders) folder.insert(0, "evidence/");
    return folders;
}

}  // namespace sondeline
