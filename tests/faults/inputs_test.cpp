// Inputs that cannot be read, go away, or reach outside: a finding, the rest is worked on.
#include <cstddef>

#include <gmock/gmock.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include "sondeline/pipeline.hpp"

#include "faults/program.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::Contains;
using testing::Field;
using testing::HasSubstr;

class Inputs : public JobOfProgram {
  protected:
    static Track read(const fs::path& clip, const ReadProgress& progress) {
        return read_clip(clip, {}, progress);
    }
};

TEST_F(Inputs, ThatMayNotBeReadAreReportedAndTheRestIsWorkedOn) {
    fs::permissions(folder_ / "job", fs::perms::all);
    fs::permissions(folder_ / "job/house.mp4", fs::perms::none);
    fs::permissions(folder_ / "job/notes.csv", fs::perms::none);
    RunHow as_nobody;
    as_nobody.before = become_nobody;
    const Ran ran = run({"process", job(), "--no-cache"}, as_nobody);
    EXPECT_EQ(ran.exit_code, 2);
    const std::string report = get(as_built() / "job.json");
    EXPECT_THAT(report, HasSubstr("may not be read"));
    EXPECT_THAT(report, HasSubstr("notes.csv"));
    EXPECT_TRUE(fs::exists(as_built() / "report.html"));
}

TEST_F(Inputs, InAFolderThatMayNotBeReadAreSaid) {
    fs::permissions(folder_ / "job", fs::perms::none);
    RunHow as_nobody;
    as_nobody.before = become_nobody;
    const Ran ran = run({"process", job(), "--no-cache"}, as_nobody);
    fs::permissions(folder_ / "job", fs::perms::owner_all);
    EXPECT_EQ(ran.exit_code, 3);
    EXPECT_FALSE((ran.out + ran.err).empty());
}

TEST_F(Inputs, ThatPointNowhereAreReported) {
    fs::remove(folder_ / "job/house.mp4");
    fs::create_symlink(folder_ / "gone.mp4", folder_ / "job/house.mp4");
    fs::remove(folder_ / "job/lateral1.mp4");
    const Ran ran = run(process());
    EXPECT_EQ(ran.exit_code, 2);
    EXPECT_THAT(get(as_built() / "job.json"), HasSubstr("lateral1.mp4"));
}

TEST_F(Inputs, ThatVanishBetweenLookingAndReadingAreReported) {
    const TrackReader reader = [](const fs::path& clip, const ReadProgress& progress) {
        if (clip.filename() == "house.mp4") fs::remove(clip);
        return read(clip, progress);
    };
    const Outcome outcome = process_job(folder_ / "job", reader);
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_THAT(outcome.findings,
                Contains(Field(&Finding::what, HasSubstr("does not exist or cannot be reached"))));
    EXPECT_TRUE(fs::exists(as_built() / "report.html"));
}

TEST_F(Inputs, ThatAreCutOffWhileTheyAreReadAreReadUpToThere) {
    const fs::path clip = folder_ / "job/house.mp4";
    bool cut = false;
    const Track track = read(clip, [&](double) {
        if (!cut) fs::resize_file(clip, fs::file_size(clip) / 2);
        cut = true;
    });
    EXPECT_LE(track.samples.size(), 11U);
}

// Any attempt to open a socket of the Internet ends the process with SIGSYS.
void refuse_the_internet() {
    sock_filter program[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(seccomp_data, nr)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_socket, 0, 4),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(seccomp_data, args[0])),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, AF_INET, 1, 0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, AF_INET6, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
    };
    const sock_fprog filter{sizeof program / sizeof program[0], program};
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0) _exit(126);
    if (prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &filter) != 0) _exit(126);
}

TEST_F(Inputs, NeverMakeTheProgramUseANetwork) {
    const fs::path at = folder_ / "job";
    const std::string address = "http://127.0.0.1:9/clip.mp4\n";
    put(at / "list.ts", "#EXTM3U\n#EXTINF:1,\n" + address + "#EXT-X-ENDLIST\n");
    put(at / "list.mp4", "ffconcat version 1.0\nfile " + address);
    put(at / "list.mkv",
        "<?xml version=\"1.0\"?><MPD><Period><BaseURL>" + address + "</BaseURL></Period></MPD>");
    put(at / "list.asf", "[Reference]\nRef1=" + address);
    put(at / "sdp.avi", "v=0\nc=IN IP4 127.0.0.1\nm=video 9 RTP/AVP 96\na=rtpmap:96 H264/90000\n");
    put(at / "records.gpx", "<?xml version=\"1.0\"?><!DOCTYPE gpx SYSTEM \"" + address +
                                "\" [<!ENTITY x SYSTEM \"http://127.0.0.1:9/x\">]><gpx>&x;</gpx>");
    fs::remove(at / "structures.csv");
    put(at / "structures.gpx", get(at / "records.gpx"));
    put(at / "structures.geojson", "http://127.0.0.1:9/structures.geojson");
    put(at / "terrain.tif",
        "<VRTDataset rasterXSize=\"1\" rasterYSize=\"1\"><VRTRasterBand dataType=\"Byte\" "
        "band=\"1\"><SimpleSource><SourceFilename>/vsicurl/http://127.0.0.1:9/a.tif"
        "</SourceFilename></SimpleSource></VRTRasterBand></VRTDataset>");
    put(at / "tables.xlsx",
        "<OGRVRTDataSource><OGRVRTLayer name=\"fixes\"><SrcDataSource>"
        "/vsicurl/http://127.0.0.1:9/a.csv</SrcDataSource></OGRVRTLayer>"
        "</OGRVRTDataSource>");
    put(at / "job.csv", "key,value\nsite,http://127.0.0.1:9/\ncrs,http://127.0.0.1:9/crs\n");
    RunHow how;
    how.before = refuse_the_internet;
    for (const std::vector<std::string>& words :
         {process(),
          {"check", job()},
          {"read", job() + "/list.ts", "--no-cache"},
          {"publish", job(), "--to", (folder_ / "map.gpkg").string()}}) {
        const Ran ran = run(words, how);
        EXPECT_EQ(ran.signal, 0) << words.front();
        EXPECT_GE(ran.exit_code, 0) << words.front();
    }
    EXPECT_TRUE(fs::exists(as_built() / "report.html"));
}

// The filter itself: without it, the test above could not fail.
TEST_F(Inputs, ThatDidUseANetworkWouldBeSeen) {
    const pid_t child = fork();
    if (child == 0) {
        refuse_the_internet();
        socket(AF_INET, SOCK_STREAM, 0);
        _exit(0);
    }
    int status = 0;
    waitpid(child, &status, 0);
    EXPECT_TRUE(WIFSIGNALED(status));
    EXPECT_EQ(WTERMSIG(status), SIGSYS);
}

}  // namespace
}  // namespace sondeline
