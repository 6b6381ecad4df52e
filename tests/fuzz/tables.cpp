// A whole job folder of tables: the first byte says which table the rest is, the others stand
// still, so that ids meet. Nothing may be thrown, and no figure that is not finite may come out.
#include <array>
#include <cmath>
#include <fstream>

#include <unistd.h>

#include "sondeline/intake.hpp"

#include "fuzz/require.hpp"

namespace {

namespace fs = std::filesystem;

constexpr std::array<const char*, 10> tables{"job",    "structures", "runs",  "fixes",    "ties",
                                             "levels", "records",    "notes", "loadtest", "grade"};

void put(const fs::path& file, std::string_view bytes) {
    std::ofstream(file, std::ios::binary)
        .write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

void require_finite(const sondeline::MaybeCell<double>& cell) {
    require(!cell || std::isfinite(cell->value));
}

// Made once, emptied before each input.
const fs::path& folder() {
    static const fs::path path = [] {
        const fs::path made =
            fs::temp_directory_path() / ("sondeline-fuzz-" + std::to_string(getpid()));
        fs::create_directories(made);
        return made;
    }();
    return path;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0) return 0;
    for (const auto& entry : fs::directory_iterator(folder())) fs::remove(entry.path());
    put(folder() / "structures.csv", "id,kind,lon,lat\nA,tank,-92,41\nB,box,,\n");
    put(folder() / "runs.csv", "id,footage,from,to\nL1,a.mp4,A,B\n");
    put(folder() / "a.mp4", "");
    const std::string name = tables[data[0] % tables.size()];
    put(folder() / (name + ".csv"), {reinterpret_cast<const char*>(data) + 1, size - 1});
    const sondeline::Job job = sondeline::read_job_folder(folder());
    for (const auto& fix : job.fixes) {
        require_finite(fix.counter);
        require_finite(fix.depth_m);
        require_finite(fix.heading_rad);
        require_finite(fix.clock_s);
    }
    for (const auto& run : job.runs) {
        require_finite(run.diameter_m);
        require_finite(run.counter_at_start);
    }
    return 0;
}
