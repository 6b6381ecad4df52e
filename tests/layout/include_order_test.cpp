// A stage knows only the stages before it: every #include of ours is read and compared with the
// table in DEVELOPERS.md.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace {

namespace fs = std::filesystem;

using Names = std::set<std::string>;

const std::map<std::string, Names>& allowed() {
    static const std::map<std::string, Names> table{
        {"terms", {}},
        {"intake", {"terms"}},
        {"footage", {"terms"}},
        {"survey", {"terms", "intake", "footage"}},
        {"alignment", {"terms", "survey"}},
        {"grade", {"terms", "alignment"}},
        {"appraisal", {"terms", "intake", "footage", "survey", "alignment", "grade"}},
        {"deliverables",
         {"terms", "intake", "footage", "survey", "alignment", "grade", "appraisal"}},
        {"pipeline",
         {"terms", "intake", "footage", "survey", "alignment", "grade", "appraisal",
          "deliverables"}},
        {"service",
         {"terms", "intake", "footage", "survey", "alignment", "grade", "appraisal", "deliverables",
          "pipeline"}},
        {"cli", {"terms", "footage", "deliverables", "pipeline", "service"}},
    };
    return table;
}

// The stages whose headers a file includes, its own left out.
Names stages_included(const fs::path& file, const std::string& own) {
    static const std::regex ours(R"re(^\s*#include\s+"(?:sondeline/)?([a-z_]+)(?:\.hpp|/))re");
    Names stages;
    std::ifstream in(file);
    for (std::string line; std::getline(in, line);) {
        std::smatch match;
        if (std::regex_search(line, match, ours) && match[1] != own) stages.insert(match[1]);
    }
    return stages;
}

TEST(Includes, PointOnlyToStagesThatComeBefore) {
    const fs::path source(SONDELINE_SOURCE_DIR);
    int files = 0;
    for (const auto& [stage, may] : allowed()) {
        std::vector<fs::path> of_stage;
        for (const auto& entry : fs::recursive_directory_iterator(source / "src" / stage)) {
            if (entry.path().extension() == ".cpp" || entry.path().extension() == ".hpp") {
                of_stage.push_back(entry.path());
            }
        }
        const fs::path contract = source / "include/sondeline" / (stage + ".hpp");
        if (fs::exists(contract)) of_stage.push_back(contract);
        for (const fs::path& file : of_stage) {
            ++files;
            for (const std::string& included : stages_included(file, stage)) {
                EXPECT_TRUE(may.contains(included)) << file << " includes " << included;
            }
        }
    }
    EXPECT_GT(files, 100);
}

TEST(Includes, AreKnownForEveryFolder) {
    for (const auto& entry : fs::directory_iterator(fs::path(SONDELINE_SOURCE_DIR) / "src")) {
        if (entry.is_directory()) {
            EXPECT_TRUE(allowed().contains(entry.path().filename().string())) << entry.path();
        }
    }
}

TEST(Sources, StayShortEnoughToRead) {
    constexpr int most_lines = 400;
    for (const char* folder : {"src", "include"}) {
        for (const auto& entry :
             fs::recursive_directory_iterator(fs::path(SONDELINE_SOURCE_DIR) / folder)) {
            const std::string name = entry.path().filename().string();
            const bool written_by_the_trainer = name == "glyph_weights.cpp";
            if (!entry.is_regular_file() || written_by_the_trainer) continue;
            std::ifstream in(entry.path());
            const auto lines = std::count(std::istreambuf_iterator<char>(in), {}, '\n');
            EXPECT_LE(lines, most_lines) << entry.path();
        }
    }
}

}  // namespace
