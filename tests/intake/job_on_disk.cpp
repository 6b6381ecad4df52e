#include "intake/job_on_disk.hpp"

#include <fstream>

#include <unistd.h>

namespace sondeline {

namespace fs = std::filesystem;

JobOnDisk::JobOnDisk() {
    std::string name = (fs::temp_directory_path() / "sondeline-intake-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = name;
}

JobOnDisk::~JobOnDisk() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
}

JobOnDisk& JobOnDisk::file(const std::string& name, std::string_view bytes) {
    std::ofstream out(path_ / name, std::ios::binary);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    return *this;
}

std::string text_of(const Findings& findings) {
    std::string text;
    for (const Finding& finding : findings) {
        text += describe(finding.where) + ": " + finding.what + " " + finding.what_to_do + "\n";
    }
    return text;
}

}  // namespace sondeline
