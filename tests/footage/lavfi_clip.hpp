// Small clips made by the ffmpeg program, the peer that the frame tests compare with.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace sondeline {

// A folder that is gone with the object.
class ScratchFolder {
  public:
    ScratchFolder();
    ~ScratchFolder();
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;
    std::filesystem::path operator/(const std::string& name) const { return folder_ / name; }

  private:
    std::filesystem::path folder_;
};

// Runs `ffmpeg -v error -y <arguments> <out>`; fails the test when ffmpeg does.
void ffmpeg(const std::string& arguments, const std::filesystem::path& out);

// Presentation times of all frames as ffprobe gives them, from the first, in order.
std::vector<double> ffprobe_times_s(const std::filesystem::path& clip);

std::string bytes_of(const std::filesystem::path& file);
void write_bytes(const std::filesystem::path& file, const std::string& bytes);

}  // namespace sondeline
