#include <CLI/CLI.hpp>
#include <gmock/gmock.h>
#include <unistd.h>

#include "cli/commands.hpp"

namespace sondeline::cli {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::StartsWith;

struct Said {
    int exit_code = 0;
    std::string out;
    std::string err;
};

Said run(const std::string& words) {
    Said said;
    CLI::App app;
    add_read_command(app, said.exit_code);
    testing::internal::CaptureStdout();
    testing::internal::CaptureStderr();
    try {
        app.parse("read " + words);
    } catch (const CLI::ParseError&) {
        said.exit_code = 1;
    }
    said.out = testing::internal::GetCapturedStdout();
    said.err = testing::internal::GetCapturedStderr();
    return said;
}

const std::string kClip =
    std::string(SONDELINE_SOURCE_DIR) + "/sample-runs/walnut-row/lateral2.avi";

TEST(ReadCommand, TellsAboutAFileThatIsNoClipInEveryFormat) {
    const Said csv = run("/nonexistent.mp4");
    EXPECT_EQ(csv.exit_code, 2);
    EXPECT_THAT(csv.out, HasSubstr("no counter found"));
    EXPECT_THAT(csv.err, HasSubstr("does not exist"));
    const Said json = run("--format json --quiet /nonexistent.mp4");
    EXPECT_THAT(json.out, HasSubstr("sondeline-readings/1"));
    EXPECT_EQ(json.err, "");
    EXPECT_EQ(run("--json /nonexistent.mp4").out, json.out);
    EXPECT_THAT(run("--format picture --quiet /nonexistent.mp4").out, StartsWith("<svg"));
}

TEST(ReadCommand, RefusesAFormatItDoesNotKnow) {
    EXPECT_EQ(run("--format pdf /nonexistent.mp4").exit_code, 1);
}

TEST(ReadCommand, WritesEvidenceAndThePictureOfAClip) {
    ASSERT_TRUE(fs::exists(kClip));
    const fs::path folder =
        fs::temp_directory_path() / ("sondeline-read-" + std::to_string(getpid()));
    const Said said = run("--format picture --quiet --evidence " + folder.string() + " " + kClip);
    EXPECT_EQ(said.exit_code, 0);
    EXPECT_EQ(said.err, "");
    EXPECT_THAT(said.out, StartsWith("<svg"));
    EXPECT_THAT(said.out, HasSubstr("class=\"push\""));
    std::size_t pictures = 0;
    for (const auto& entry : fs::directory_iterator(folder / "lateral2")) {
        EXPECT_EQ(entry.path().extension(), ".png");
        ++pictures;
    }
    EXPECT_GE(pictures, 2U);
    fs::remove_all(folder);
}

}  // namespace
}  // namespace sondeline::cli
