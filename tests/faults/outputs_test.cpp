// Outputs that cannot be written, or not to their end: a clear message, exit code 3, the old map
// intact.
#include <fcntl.h>
#include <gmock/gmock.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "faults/program.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::AnyOf;
using testing::HasSubstr;
using testing::IsEmpty;

class Outputs : public JobOfProgram {
  protected:
    void rename_site(const std::string& site) const {
        put(folder_ / "job/job.csv", "key,value\nsite," + site + "\nlength unit,ft\n");
    }
};

// No file may grow beyond a bound, which is doubled until all fit: each file of the set, and each
// part of the larger ones, is in turn the one that cannot be written.
TEST_F(Outputs, ThatFindNoRoomLeaveTheOldMap) {
    ASSERT_EQ(run(process()).exit_code, 2);
    const auto old_map = files_in(as_built());
    ASSERT_TRUE(old_map.contains("asbuilt.gpkg"));
    rename_site("Another name");
    int failures = 0;
    for (rlim_t most = 256; most < (rlim_t{1} << 30U); most *= 2) {
        RunHow how;
        how.before = [most] {
            const rlimit limit{most, most};
            setrlimit(RLIMIT_FSIZE, &limit);
        };
        const Ran ran = run({"process", job(), "--no-cache"}, how);
        EXPECT_THAT(unfinished_in(folder_), IsEmpty());
        if (ran.exit_code == 2) break;
        ++failures;
        EXPECT_EQ(ran.exit_code, 3) << "at " << most << " bytes: signal " << ran.signal;
        EXPECT_THAT(ran.out + ran.err, AnyOf(HasSubstr("could not be written"),
                                             HasSubstr("Not all that was to be printed")))
            << "at " << most << " bytes";
        EXPECT_EQ(files_in(as_built()), old_map) << "at " << most << " bytes";
    }
    EXPECT_GE(failures, 4);
    const auto new_map = files_in(as_built());
    EXPECT_NE(new_map, old_map);
    fs::remove_all(as_built());
    ASSERT_EQ(run(process()).exit_code, 2);
    EXPECT_EQ(files_in(as_built()), new_map);
}

// A file system of its own, as large as the map and a little more, then filled.
TEST_F(Outputs, OnAFullDiskLeaveTheOldMap) {
    const std::string script =
        "set -e; mkdir \"$1/disk\"; mount -t tmpfs -o size=4m tmpfs \"$1/disk\" || exit 77; "
        "cd \"$1/disk\"; \"$2\" process \"$1/job\" --no-cache --out map >/dev/null || [ $? -eq 2 "
        "]; "
        "cp -r map \"$1/before\"; cat /dev/zero >fill 2>/dev/null || true; "
        "echo 'key,value' >\"$1/job/job.csv\"; "
        "set +e; \"$2\" process \"$1/job\" --no-cache --out map; code=$?; "
        "diff -r map \"$1/before\" || exit 90; ls -A | grep -q writing && exit 91; "
        "rm -r map; mkdir cache; \"$2\" process \"$1/job\" --cache cache --out \"$1/other\"; "
        "[ $? -eq 2 ] || exit 92; exit $code";
    const pid_t child = fork();
    if (child == 0) {
        const int log = open((folder_ / "log").c_str(), O_WRONLY | O_CREAT, 0666);
        dup2(log, STDOUT_FILENO);
        dup2(log, STDERR_FILENO);
        execlp("unshare", "unshare", "--map-root-user", "--mount", "bash", "-c", script.c_str(),
               "bash", folder_.c_str(), SONDELINE_PROGRAM, nullptr);
        _exit(77);
    }
    int status = 0;
    waitpid(child, &status, 0);
    const std::string log = get(folder_ / "log");
    if (WEXITSTATUS(status) == 77 || log.find("unshare failed") != std::string::npos) {
        GTEST_SKIP() << "no right to mount: " << log;
    }
    EXPECT_EQ(WEXITSTATUS(status), 3) << log;
    EXPECT_THAT(log, HasSubstr("The map could not be written"));
}

TEST_F(Outputs, InAFolderThatIsReadOnlyLeaveTheOldMapAndSayWhereElse) {
    ASSERT_EQ(run(process()).exit_code, 2);
    const auto old_map = files_in(as_built());
    rename_site("Another name");
    fs::permissions(folder_ / "job", fs::perms::owner_read | fs::perms::owner_exec |
                                         fs::perms::group_read | fs::perms::group_exec |
                                         fs::perms::others_read | fs::perms::others_exec);
    RunHow as_nobody;
    as_nobody.before = become_nobody;
    const Ran ran = run({"process", job(), "--no-cache"}, as_nobody);
    EXPECT_EQ(ran.exit_code, 3);
    EXPECT_THAT(ran.out + ran.err, HasSubstr("Permission denied"));
    EXPECT_THAT(ran.out + ran.err, HasSubstr("--out"));
    EXPECT_EQ(files_in(as_built()), old_map);
    fs::create_directory(folder_ / "open");
    fs::permissions(folder_ / "open", fs::perms::all);
    EXPECT_EQ(
        run({"process", job(), "--no-cache", "--out", (folder_ / "open/map").string()}, as_nobody)
            .exit_code,
        2);
    EXPECT_TRUE(fs::exists(folder_ / "open/map/report.html"));
    fs::permissions(folder_ / "job", fs::perms::owner_all);
}

// What was to be printed is lost; the map is not.
TEST_F(Outputs, OnAFullStandardOutAreSaidToBeIncomplete) {
    RunHow full;
    full.before = [] { dup2(open("/dev/full", O_WRONLY), STDOUT_FILENO); };
    for (const std::vector<std::string>& words :
         {process(), {"read", job() + "/house.mp4", "--no-cache"}, {"check", job()}}) {
        const Ran ran = run(words, full);
        EXPECT_EQ(ran.exit_code, 3) << words.front();
        EXPECT_THAT(ran.err, HasSubstr("standard out")) << words.front();
    }
    EXPECT_TRUE(fs::exists(as_built() / "report.html"));
}

TEST_F(Outputs, IntoAPipeThatNobodyReadsAreSaidToBeIncomplete) {
    RunHow unread;
    unread.before = [] {
        int ends[2];
        if (pipe(ends) != 0) _exit(126);
        dup2(ends[1], STDOUT_FILENO);
        close(ends[0]);
        close(ends[1]);
    };
    for (const std::vector<std::string>& words :
         {process(), {"read", job() + "/house.mp4", "--no-cache"}, {"check", job()}}) {
        const Ran ran = run(words, unread);
        EXPECT_EQ(ran.signal, 0) << words.front();
        EXPECT_EQ(ran.exit_code, 3) << words.front();
        EXPECT_THAT(ran.err, HasSubstr("standard out")) << words.front();
    }
    EXPECT_TRUE(fs::exists(as_built() / "report.html"));
}

// A file that is opened takes the lowest free number, which must not be that of a standard stream:
// what is printed would go into the map.
TEST_F(Outputs, WithoutStandardStreamsGoIntoNoFile) {
    ASSERT_EQ(run(process()).exit_code, 2);
    const auto map = files_in(as_built());
    RunHow closed;
    closed.before = [] {
        for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) close(stream);
    };
    EXPECT_EQ(run(process(), closed).signal, 0);
    EXPECT_EQ(files_in(as_built()), map);
    EXPECT_EQ(run({"process", job(), "--cache", cache(), "--quiet"}, closed).exit_code, 2);
    EXPECT_EQ(files_in(as_built()), map);
}

}  // namespace
}  // namespace sondeline
