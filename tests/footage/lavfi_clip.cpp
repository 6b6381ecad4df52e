#include "footage/lavfi_clip.hpp"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

namespace sondeline {

ScratchFolder::ScratchFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "footage-test-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no scratch folder");
    folder_ = name;
}

ScratchFolder::~ScratchFolder() {
    std::error_code none;
    std::filesystem::remove_all(folder_, none);
}

void ffmpeg(const std::string& arguments, const std::filesystem::path& out) {
    const std::string command =
        fmt::format("ffmpeg -v error -y -nostdin {} '{}'", arguments, out.string());
    ASSERT_EQ(std::system(command.c_str()), 0) << command;
}

std::vector<double> ffprobe_times_s(const std::filesystem::path& clip) {
    const std::string command = fmt::format(
        "ffprobe -v error -select_streams v -show_entries "
        "frame=best_effort_timestamp_time -of csv=p=0 '{}'",
        clip.string());
    std::vector<double> times_s;
    FILE* pipe = popen(command.c_str(), "r");
    if (pipe == nullptr) throw std::runtime_error("ffprobe does not run");
    char line[256];
    while (std::fgets(line, sizeof line, pipe) != nullptr) {
        char* end = nullptr;
        const double time_s = std::strtod(line, &end);
        if (end != line) times_s.push_back(time_s);  // lines of side data hold no number
    }
    pclose(pipe);
    if (times_s.empty()) return times_s;
    const double first_s = times_s.front();
    for (double& time_s : times_s) time_s -= first_s;
    return times_s;
}

std::string bytes_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

void write_bytes(const std::filesystem::path& file, const std::string& bytes) {
    std::ofstream(file, std::ios::binary)
        .write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

}  // namespace sondeline
