#include "deliverables/publish_atomically.hpp"

#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "sondeline/deliverables.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;

const std::set<std::string> ours{"map", "drawing"};

class PublishAtomically : public testing::Test {
  protected:
    void SetUp() override {
        folder_ = fs::temp_directory_path() / fmt::format("sondeline-publish-{}", getpid());
        fs::remove_all(folder_);
        fs::create_directories(folder_);
    }
    void TearDown() override { fs::remove_all(folder_); }

    static void put(const fs::path& file, const std::string& text) { std::ofstream(file) << text; }
    static std::string get(const fs::path& file) {
        std::ostringstream text;
        text << std::ifstream(file).rdbuf();
        return text.str();
    }
    std::size_t entries() const {
        return static_cast<std::size_t>(
            std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
    }
    fs::path out() const { return folder_ / "asbuilt"; }

    fs::path folder_;
};

TEST_F(PublishAtomically, PutsANewSetInThePlaceOfTheOld) {
    for (const char* text : {"first", "second"}) {
        publish_atomically(out(), ours, [&](const fs::path& to) { put(to / "map", text); });
        EXPECT_EQ(get(out() / "map"), text);
    }
    EXPECT_EQ(entries(), 1U);
}

TEST_F(PublishAtomically, LeavesTheOldSetWhenWritingFails) {
    publish_atomically(out(), ours, [&](const fs::path& to) { put(to / "map", "first"); });
    EXPECT_THROW(publish_atomically(out(), ours,
                                    [&](const fs::path& to) {
                                        put(to / "map", "half");
                                        throw OutputError("the disk is full");
                                    }),
                 OutputError);
    EXPECT_EQ(get(out() / "map"), "first");
    EXPECT_EQ(entries(), 1U);
}

TEST_F(PublishAtomically, KeepsWhatSomebodyElsePutThere) {
    publish_atomically(out(), ours, [&](const fs::path& to) { put(to / "map", "first"); });
    put(out() / "my remarks.txt", "mine");
    publish_atomically(out(), ours, [&](const fs::path& to) { put(to / "map", "second"); });
    EXPECT_EQ(get(out() / "my remarks.txt"), "mine");
    EXPECT_EQ(get(out() / "map"), "second");
}

TEST_F(PublishAtomically, LeavesNoFileOfOursFromAnOlderSet) {
    publish_atomically(out(), ours, [&](const fs::path& to) { put(to / "drawing", "first"); });
    publish_atomically(out(), ours, [&](const fs::path& to) { put(to / "map", "second"); });
    EXPECT_FALSE(fs::exists(out() / "drawing"));
}

TEST_F(PublishAtomically, RefusesAFileInThePlaceOfTheFolder) {
    put(out(), "a file");
    EXPECT_THROW(publish_atomically(out(), ours, [](const fs::path&) {}), OutputError);
    EXPECT_EQ(get(out()), "a file");
}

TEST_F(PublishAtomically, ClearsAwayWhatAKilledRunLeft) {
    // No process can have this number: Linux ends at 4194304.
    fs::create_directories(folder_ / ".asbuilt.writing-999999999");
    publish_atomically(out(), ours, [&](const fs::path& to) { put(to / "map", "first"); });
    EXPECT_EQ(entries(), 1U);
}

}  // namespace
}  // namespace sondeline
