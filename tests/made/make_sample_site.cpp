// make_sample_site SOURCE_TREE: writes the tables, clips and truth of the sample site.
//
// Tables and clips go to sample-runs/walnut-row, the truth to tests/made/sample_truth. With
// --tables the clips are left as they are.
#include <exception>
#include <filesystem>
#include <iostream>
#include <string_view>

#include "made/sample_tables.hpp"
#include "support/footage.hpp"

namespace {

void make(const std::filesystem::path& tree, bool clips) {
    namespace fs = std::filesystem;
    const sondeline::made::SampleSite site = sondeline::made::sample_site();
    const fs::path job = tree / "sample-runs/walnut-row";
    const fs::path truth = tree / "tests/made/sample_truth";
    fs::create_directories(job);
    fs::create_directories(truth);
    sondeline::made::write_sample_tables(site, job);
    sondeline::made::write_sample_truth(site, truth);
    if (!clips) return;
    for (const sondeline::made::SampleRun& run : site.runs) {
        std::cout << run.clip << '\n';
        const fs::path clip = job / run.clip;
        sondeline::support::make_footage(scenario_of(site, run), clip);
        fs::rename(clip.string() + ".truth.csv", truth / (run.id + "_frames.csv"));
        fs::remove(clip.string() + ".boxes.csv");
    }
}

}  // namespace

int main(int count, char** words) {
    const bool tables_only = count == 3 && std::string_view(words[2]) == "--tables";
    if (count != 2 && !tables_only) {
        std::cerr << "usage: make_sample_site SOURCE_TREE [--tables]\n";
        return 1;
    }
    try {
        make(words[1], !tables_only);
        return 0;
    } catch (const std::exception& error) {
        std::cerr << error.what() << '\n';
        return 3;
    }
}
