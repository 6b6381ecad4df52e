// What a watcher finds written of a job: whatever stands there, it is a record or none.
#include <filesystem>
#include <fstream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "fuzz/require.hpp"
#include "service/track_bytes.hpp"
#include "service/watch_record.hpp"

namespace {

namespace fs = std::filesystem;

const fs::path& folder() {
    static const fs::path path = [] {
        const fs::path made =
            fs::temp_directory_path() / ("sondeline-fuzz-" + std::to_string(getpid()));
        fs::create_directories(made);
        return made;
    }();
    return path;
}

// A JSON object becomes a record of this program and job, so that its other keys are looked at.
std::string with_heading(std::string_view bytes) {
    nlohmann::json record = nlohmann::json::parse(bytes, nullptr, false);
    if (!record.is_object()) return std::string(bytes);
    record["job"] = "job";
    record["signature"] = "s";
    record["program"] = sondeline::program_version();
    record["reader"] = sondeline::reader_version();
    return record.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace sondeline;
    const fs::path record = folder() / fmt::format("{:016x}.json", checksum("job"));
    std::ofstream(record, std::ios::binary) << with_heading(text_of(data, size));
    const WatchRecords records(folder());
    const int before = records.unfinished_starts("job", "s");
    require(before >= 0);
    const auto finished = records.finished("job", "s");
    require(!finished || finished->exit_code >= 0);
    records.begin("job", "s");
    require(records.unfinished_starts("job", "s") > 0);
    return 0;
}
