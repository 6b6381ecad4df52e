// The whole set of files for the sample site, written within a second: the counter of every sampled
// frame comes from the truth the clips were drawn from, not from decoding them.
#pragma once

#include <filesystem>
#include <functional>
#include <string>

#include "sondeline/pipeline.hpp"

namespace sondeline {

// A copy of the sample's tables, with empty clips, in a folder of its own that goes with this
// value.
class MadeSet {
  public:
    // `spoil` may change the folder before it is processed; without a program there is no PDF.
    explicit MadeSet(const std::function<void(const std::filesystem::path&)>& spoil = {},
                     const std::string& pdf_program = {});
    ~MadeSet();
    MadeSet(const MadeSet&) = delete;
    MadeSet& operator=(const MadeSet&) = delete;

    std::filesystem::path folder() const { return folder_; }
    std::filesystem::path file(const std::string& name) const { return folder_ / "asbuilt" / name; }
    const Outcome& outcome() const { return outcome_; }

  private:
    std::filesystem::path folder_;
    Outcome outcome_;
};

// A track as the truth file of a run tells it (tests/made/sample_truth/<run>_frames.csv).
Track track_of_truth(const std::string& run, const std::string& clip);

std::string text_of(const std::filesystem::path& file);

// What a command prints to standard output; fails the test when it ends with an error.
std::string output_of(const std::string& command);

}  // namespace sondeline
