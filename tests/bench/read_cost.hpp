// CPU time of the whole reading pass against decoding by ffmpeg alone, codec by codec.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace sondeline::bench {

struct CodecCost {
    std::string words;      // "H.264 with B-frames 640x480, 1500 kbit/s"
    double bar = 0.0;       // most that reading may take, in multiples of decoding
    double read_s = 0.0;    // user and system time of a process that reads the clip's counter
    double water_s = 0.0;   // of one that looks for standing water as well
    double decode_s = 0.0;  // of `ffmpeg -threads 1 -i CLIP -f null -`
};

// Makes one clip of about `seconds` for each codec in `folder`, then reads and decodes each in turn
// `repeats` times in child processes; the medians are given. `reader` is the program read_once.
std::vector<CodecCost> codec_costs(double seconds, int repeats, const std::filesystem::path& folder,
                                   const std::filesystem::path& reader);

}  // namespace sondeline::bench
