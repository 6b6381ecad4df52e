// The check on site, on the sample site and on copies of it that were spoiled.
#include <chrono>

#include <gmock/gmock.h>

#include "sondeline/service.hpp"

#include "service/made_track.hpp"
#include "service/own_folder.hpp"
#include "service/seen_files.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;

MATCHER_P2(Says, place, what, "") {
    return describe(arg.where).find(place) != std::string::npos &&
           arg.what.find(what) != std::string::npos && !arg.what_to_do.empty();
}

class CheckJob : public OwnFolder {
  protected:
    CheckJob() {
        const fs::path sample = fs::path(SONDELINE_SOURCE_DIR) / "sample-runs/walnut-row";
        for (const auto& entry : fs::directory_iterator(sample)) {
            if (entry.is_regular_file()) {
                fs::copy_file(entry.path(), folder_ / entry.path().filename());
            }
        }
    }

    // Puts `with` in the place of `text`, which must stand there.
    void change(const char* file, const std::string& text, const std::string& with) const {
        std::string all = get(folder_ / file);
        const std::size_t at = all.find(text);
        ASSERT_NE(at, std::string::npos) << text;
        put(folder_ / file, all.replace(at, text.size(), with));
    }

    Findings found() const { return check_job(folder_).findings; }
};

TEST_F(CheckJob, OfAGoodDayFindsOnlyTheMistypedFix) {
    const SiteCheck check = check_job(folder_);
    ASSERT_EQ(check.runs.size(), 5U);
    EXPECT_EQ(check.runs[0].fixes, 6);
    EXPECT_TRUE(check.runs[0].worst_sd_m.has_value());
    EXPECT_FALSE(check.runs[0].footage_read);
    for (const Finding& finding : check.findings) {
        EXPECT_EQ(finding.consequence, Consequence::none) << finding.what;
        EXPECT_NE(finding.severity, Severity::problem) << finding.what;
    }
    EXPECT_THAT(check.findings, Contains(Says("fixes.csv row 18", "F17")));
}

TEST_F(CheckJob, SaysHowLargeABellyTheDepthsCouldShow) {
    for (const RunCheck& run : check_job(folder_).runs) EXPECT_FALSE(run.belly_words.empty());
    EXPECT_THAT(check_job(folder_).runs[1].belly_words, HasSubstr(" in over 20 ft"));
}

TEST_F(CheckJob, SaysWhatItSpeaksOfWithoutReadingFootage) {
    const auto start = std::chrono::steady_clock::now();
    check_job(folder_);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    RecordProperty("seconds", std::to_string(took.count()));
    EXPECT_LT(took.count(), 20.0);  // a second on an idle machine; reading takes minutes
}

TEST_F(CheckJob, FindsClipsThatWereCutOff) {
    for (const char* clip : {"house.mp4", "lateral2.avi"}) {
        fs::resize_file(folder_ / clip, fs::file_size(folder_ / clip) * 2 / 3);
    }
    const Findings all = found();
    EXPECT_THAT(all, Contains(Says("house.mp4", "")));
    EXPECT_THAT(all, Contains(Says("lateral2.avi", "cut off")));
}

TEST_F(CheckJob, FindsRunsWithoutFootageAndFootageWithoutARun) {
    fs::remove(folder_ / "lateral1.mp4");
    put(folder_ / "extra.mp4", get(folder_ / "lateral3.mp4"));
    const Findings all = found();
    EXPECT_THAT(all, Contains(Says("runs.csv row 4", "lateral1.mp4")));
    EXPECT_THAT(all, Contains(Says("extra.mp4", "No run names this clip")));
}

TEST_F(CheckJob, FindsOneClipCopiedUnderTwoNames) {
    put(folder_ / "lateral3.mp4", get(folder_ / "lateral1.mp4"));
    const Findings all = found();
    EXPECT_THAT(all,
                Contains(Says("runs.csv row 4 column footage",
                              "lateral1.mp4 is the same recording as lateral3.mp4 of run L3")));
    EXPECT_THAT(all, Contains(Says("runs.csv row 6 column footage", "lateral3.mp4")));
    // Of one size, and alike in all but the last byte.
    std::string other = get(folder_ / "lateral1.mp4");
    other.back() = static_cast<char>(other.back() + 1);
    put(folder_ / "lateral3.mp4", other);
    EXPECT_THAT(found(), testing::Not(Contains(Says("footage", "same recording"))));
}

TEST_F(CheckJob, FindsFixesThatSayNothingOfWhereTheyAre) {
    change("fixes.csv", "F8,EL,14.0,,", "F8,EL,,,");
    EXPECT_THAT(found(), Contains(Says("fixes.csv row 9", "neither counter nor time")));
}

TEST_F(CheckJob, FindsFixesTakenAfterTheirFootageEnds) {
    change("fixes.csv", "F9,EL,,30.5,", "F9,EL,,3050,");
    EXPECT_THAT(found(), Contains(Says("fixes.csv row 10", "after its footage ends")));
}

TEST_F(CheckJob, FindsADepthThatNoPipeHas) {
    change("fixes.csv", "41.1986079,0.06,32.3", "41.1986079,0.06,520");
    const Findings all = found();
    EXPECT_THAT(all, Contains(Says("fixes.csv row 23", "deeper than")));
}

TEST_F(CheckJob, FindsFeetInAColumnOfInches) {
    change("fixes.csv", "0.06,29.2,", "0.06,2.43,");
    EXPECT_THAT(found(), Contains(Says("fixes.csv row 10", "feet taken for inches")));
}

TEST_F(CheckJob, TellsOfADepthInTheWrongUnitOnce) {
    change("fixes.csv", "0.06,21.9,", "0.06,262.8,");
    const Findings all = found();
    EXPECT_EQ(std::ranges::count_if(all,
                                    [](const Finding& finding) {
                                        return finding.where.file == "fixes.csv" &&
                                               finding.where.row == 2 &&
                                               finding.where.column == "depth";
                                    }),
              1);
}

TEST_F(CheckJob, SaysWhatIsWrongOnceAndNamesEveryPlaceOfIt) {
    for (const char* clip : {"spare one.mp4", "spare two.mp4"}) {
        fs::copy_file(folder_ / "house.mp4", folder_ / clip);
    }
    EXPECT_THAT(check_job(folder_).to_do,
                Contains(AllOf(HasSubstr("spare one.mp4: No run names this clip"),
                               HasSubstr("The same for spare two.mp4."))));
}

TEST_F(CheckJob, FindsACounterInTheOtherUnit) {
    change("job.csv", "length unit,ft", "length unit,m");
    EXPECT_THAT(found(), Contains(Says("run L1", "feet, read as metres")));
}

TEST_F(CheckJob, HoldsTheUnitOfTheJobAgainstPicturesThatWereRead) {
    const TrackCache cache{folder_ / "kept"};
    // A clip that was read before, and whose picture shows feet.
    const std::string sha256(64, 'c');
    FileMark mark = mark_of(folder_ / "lateral3.mp4").value();
    mark.settled = true;
    remember_sha256(cache, mark, sha256);
    keep_track(cache, made_track(sha256));
    change("job.csv", "length unit,ft", "length unit,m");
    EXPECT_THAT(check_job(folder_, cache).findings,
                Contains(Says("job", "every picture that shows a unit counts in feet")));
}

TEST_F(CheckJob, HoldsTheDayOfTheJobAgainstTheClocksInPicturesThatWereRead) {
    const TrackCache cache{folder_ / "kept"};
    const std::string sha256(64, 'c');
    FileMark mark = mark_of(folder_ / "tank_to_box.mp4").value();
    mark.settled = true;
    remember_sha256(cache, mark, sha256);
    Track track = made_track(sha256);
    track.clock->twelve_hour = false;  // ten in the morning of 2026-05-14
    keep_track(cache, track);
    change("fixes.csv", "video time", "clock");
    change("fixes.csv", "F9,EL,,30.5,", "F9,EL,,10:00:20,");
    const auto told = [&] {
        return Contains(Says("run EL", "Its date is 2026-05-14, the job's is 2026-05-15"));
    };
    EXPECT_THAT(check_job(folder_, cache).findings, testing::Not(told()));
    change("job.csv", "date,2026-05-14", "date,2026-05-15");
    EXPECT_THAT(check_job(folder_, cache).findings, told());
    EXPECT_THAT(check_job(folder_).findings, testing::Not(told()));  // nothing was read
}

TEST_F(CheckJob, TakesTheDayFromTheClipsWhereNoTableSaysIt) {
    change("job.csv", "date,2026-05-14\n", "");
    change("fixes.csv", "video time", "clock");
    change("fixes.csv", "F9,EL,,30.5,", "F9,EL,,09:20:30,");
    for (const Finding& finding : found()) {
        EXPECT_EQ(finding.consequence, Consequence::none) << finding.what;
    }
}

TEST_F(CheckJob, SaysNothingOfARunWhoseFixesOnlyTheFootageCanPlace) {
    std::string by_time;
    std::istringstream lines(get(folder_ / "fixes.csv"));
    for (std::string line; std::getline(lines, line);) {
        const std::size_t l2 = line.find(",L2,");
        // The counter goes, and a time into the footage stands in the next column.
        if (l2 != std::string::npos) line.replace(l2 + 4, line.find(",,") - l2 - 3, ",20");
        by_time += line + "\n";
    }
    put(folder_ / "fixes.csv", by_time);
    for (const Finding& finding : found()) EXPECT_NE(finding.where.run, "L2") << finding.what;
}

TEST_F(CheckJob, CountsNoNotedWaterAmongTheDepths) {
    change("fixes.csv", "depth (in),heading", "heading,depth (in)");
    for (const RunCheck& run : check_job(folder_).runs) {
        EXPECT_EQ(run.belly_words, "none would show") << run.id.text;
    }
}

TEST_F(CheckJob, FindsTapesThatDoNotMeet) {
    change("structures.csv", "box,distribution box,-92.1005974,41.1986335,0.03",
           "box,distribution box,,,");
    put(folder_ / "ties.csv",
        "point,reference,distance,side\nbox,BM,12.0,left\nbox,corner,11.0,left\n");
    EXPECT_THAT(found(), Contains(Says("box", "do not meet")));
}

TEST_F(CheckJob, FindsALevelLoopThatDoesNotClose) {
    change("levels.csv", "2,BM,,3.71,", "2,BM,,4.71,");
    const SiteCheck check = check_job(folder_);
    EXPECT_THAT(check.findings, Contains(Says("levels", "does not close")));
    // A problem comes before every doubt.
    ASSERT_FALSE(check.to_do.empty());
    EXPECT_THAT(check.to_do[0], HasSubstr("rod reading"));
}

TEST_F(CheckJob, SuggestsTheFixThatHelpsMostWhereALongStretchHasNone) {
    const double before_m = check_job(folder_).runs[2].worst_sd_m.value();
    std::string kept;
    std::istringstream lines(get(folder_ / "fixes.csv"));
    for (std::string line; std::getline(lines, line);) {
        const bool middle_of_l1 = line.find(",L1,") != std::string::npos &&
                                  !line.starts_with("F14") && !line.starts_with("F15") &&
                                  !line.starts_with("F19");
        const bool of_l2 = line.find(",L2,") != std::string::npos;
        if (!middle_of_l1 && !of_l2) kept += line + "\n";
    }
    put(folder_ / "fixes.csv", kept);
    const SiteCheck check = check_job(folder_);
    EXPECT_GT(check.runs[2].worst_sd_m.value(), 2.0 * before_m);
    ASSERT_FALSE(check.next_fixes.empty());
    EXPECT_THAT(check.next_fixes[0], AllOf(HasSubstr("on L1"), HasSubstr("(95 %)")));
    EXPECT_THAT(check.to_do, Contains(check.next_fixes[0]));
}

TEST_F(CheckJob, TakesARunToEndWhereANoteSaysSoAndNamesNotesBeyondThat) {
    change("notes.csv", "L3,4.4", "L1,99,,crushed pipe,collapse,\nEL,20,70,roots,root,\nL3,4.4");
    const SiteCheck check = check_job(folder_);
    EXPECT_THAT(check.findings, Contains(Says("notes.csv row 9", "neither drawn nor priced")));
    EXPECT_THAT(check.findings, Contains(Says("notes.csv row 10", "12.6 ft beyond the end")));
    EXPECT_TRUE(check.runs[1].end_noted);
    EXPECT_NEAR(check.runs[1].reach_m.value(), 57.4 * 0.3048, 1e-9);
    EXPECT_TRUE(check.runs[2].worst_sd_m.has_value());
}

TEST_F(CheckJob, DoesNotTakeARunToEndBeforeSeveralFixes) {
    change("notes.csv", "L1,64.4", "L1,6.44");
    const SiteCheck check = check_job(folder_);
    EXPECT_FALSE(check.runs[2].end_noted);
    EXPECT_NEAR(check.runs[2].reach_m.value(), (60.3 - 2.3) * 0.3048, 1e-9);
    for (const Finding& finding : check.findings) EXPECT_NE(finding.where.file, "notes.csv");
}

TEST_F(CheckJob, GoesOnWithAnEmptyFolder) {
    fs::create_directory(folder_ / "empty");
    const SiteCheck check = check_job(folder_ / "empty");
    EXPECT_TRUE(check.runs.empty());
}

}  // namespace
}  // namespace sondeline
