// The sample site in a folder of its own, processed, for tests of the whole path.
#pragma once

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <fstream>
#include <map>
#include <mutex>
#include <sstream>
#include <string>
#include <string_view>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "sondeline/pipeline.hpp"

namespace sondeline {

namespace fs = std::filesystem;
using nlohmann::json;

inline const fs::path source_tree(SONDELINE_SOURCE_DIR);

inline std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

// A copy of the sample in a folder of its own, so that tests can spoil it.
class SampleSite : public testing::Test {
  protected:
    void SetUp() override {
        folder_ = fs::temp_directory_path() /
                  fmt::format("sondeline-sample-{}-{}", getpid(),
                              testing::UnitTest::GetInstance()->current_test_info()->name());
        fs::remove_all(folder_);
        fs::create_directories(folder_);
        for (const auto& entry : fs::directory_iterator(source_tree / "sample-runs/walnut-row")) {
            if (entry.is_regular_file())
                fs::copy_file(entry.path(), folder_ / entry.path().filename());
        }
    }
    void TearDown() override { fs::remove_all(folder_); }

    // Every clip is decoded once for all tests of this program: a Track follows from the clip
    // alone.
    static Track read_once(const fs::path& clip, const ReadProgress& tell) {
        static std::mutex lock;
        static std::map<std::string, Track> known;
        const std::string key = clip.filename().string() + std::to_string(fs::file_size(clip));
        {
            const std::lock_guard guard(lock);
            const auto found = known.find(key);
            if (found != known.end()) return found->second;
        }
        Track track = read_clip(clip, {}, tell);
        const std::lock_guard guard(lock);
        return known.emplace(key, std::move(track)).first->second;
    }

    Outcome process(unsigned threads = 2) const {
        ProcessOptions options;
        options.threads = threads;
        return process_job(folder_, &SampleSite::read_once, options);
    }

    json data() const { return json::parse(text_of(folder_ / "asbuilt/job.json")); }

    json layer(const char* name) const { return data().at("layers").at(name); }

    void write(const char* name, const std::string& text) const {
        std::ofstream(folder_ / name, std::ios::binary) << text;
    }

    // Puts `with` in the place of `text`, which must stand there.
    void change(const char* name, const std::string& text, const std::string& with) const {
        std::string all = text_of(folder_ / name);
        const std::size_t at = all.find(text);
        ASSERT_NE(at, std::string::npos) << text;
        write(name, all.replace(at, text.size(), with));
    }

    fs::path folder_;
};

// Findings that hold these words.
inline std::ptrdiff_t saying(const Outcome& outcome, std::string_view words) {
    return std::ranges::count_if(outcome.findings, [&](const Finding& finding) {
        return finding.what.find(words) != std::string::npos;
    });
}

// The row whose column has the value; fails the test when there is none.
inline json row_of(const json& layer, const char* column, const std::string& value) {
    for (const json& row : layer) {
        if (row.at(column) == value) return row;
    }
    ADD_FAILURE() << "no row with " << column << " " << value;
    return json::object();
}

}  // namespace sondeline
