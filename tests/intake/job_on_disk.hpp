// A job folder made for one test, and how its findings are looked at.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include <gmock/gmock.h>

#include "sondeline/intake.hpp"

#include "intake/grid.hpp"

namespace sondeline {

// Lives as long as the object does.
class JobOnDisk {
  public:
    JobOnDisk();
    ~JobOnDisk();
    JobOnDisk(const JobOnDisk&) = delete;
    JobOnDisk& operator=(const JobOnDisk&) = delete;

    const std::filesystem::path& path() const { return path_; }
    JobOnDisk& file(const std::string& name, std::string_view bytes);
    JobOnDisk& clip(const std::string& name) { return file(name, "not looked into"); }
    TableFile table(const std::string& name) const { return {path_ / name, name}; }
    Job read() const { return read_job_folder(path_); }

  private:
    std::filesystem::path path_;
};

// A finding whose place and text contain these.
MATCHER_P2(Finds, place, what, "") {
    return describe(arg.where).find(place) != std::string::npos &&
           arg.what.find(what) != std::string::npos && !arg.what_to_do.empty();
}

std::string text_of(const Findings& findings);

}  // namespace sondeline
