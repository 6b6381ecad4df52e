// Encoding through the ffmpeg command line: raw frames on a pipe.
#pragma once

#include <filesystem>

#include "support/overlay_text.hpp"

namespace sondeline::support {

class Encoder {
  public:
    // The container follows from the file's ending. Throws std::runtime_error when ffmpeg cannot be
    // started.
    Encoder(const Encoding& encoding, const std::filesystem::path& clip);
    Encoder(const Encoder&) = delete;
    Encoder& operator=(const Encoder&) = delete;
    ~Encoder();

    void add(const Frame& frame);

    // Waits for ffmpeg. Throws std::runtime_error when it failed.
    void finish();

  private:
    std::FILE* pipe_ = nullptr;
};

}  // namespace sondeline::support
