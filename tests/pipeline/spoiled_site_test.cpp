// What becomes of the sample site when its tables or clips hold what technicians get wrong.
#include <gmock/gmock.h>

#include "pipeline/sample_site.hpp"

namespace sondeline {
namespace {

class SpoiledSite : public SampleSite {};

TEST_F(SpoiledSite, SurvivesABrokenClipGarbageCellsAndAMissingFile) {
    write("lateral2.avi", "this is no video");
    fs::remove(folder_ / "lateral3.mp4");
    write("notes.csv", text_of(folder_ / "notes.csv") + "L1,three fathoms,,odd,root,\n");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    const auto named = [&](const std::string& name) {
        return std::ranges::any_of(outcome.findings, [&](const Finding& finding) {
            return finding.consequence != Consequence::none &&
                   (finding.where.file.find(name) != std::string::npos ||
                    finding.what.find(name) != std::string::npos);
        });
    };
    EXPECT_TRUE(named("lateral2.avi"));
    EXPECT_TRUE(named("lateral3.mp4"));
    EXPECT_TRUE(named("notes.csv"));
    const json runs = layer("pipe_runs");
    for (const char* id : {"BS", "EL", "L1"}) {
        EXPECT_FALSE(row_of(runs, "run_id", id).at("length_m").is_null()) << id;
        EXPECT_GT(row_of(runs, "run_id", id).at("geometry").size(), 2U) << id;
    }
    for (const char* id : {"L2", "L3"}) {
        EXPECT_TRUE(row_of(runs, "run_id", id).at("length_m").is_null()) << id;
    }
}

TEST_F(SpoiledSite, SaysOnceThatTheClipsOfTwoRunsMayBeExchanged) {
    EXPECT_EQ(saying(process(), "may be exchanged"), 0);
    change("runs.csv", "lateral1.mp4", "kept aside");
    change("runs.csv", "lateral2.avi", "lateral1.mp4");
    change("runs.csv", "kept aside", "lateral2.avi");
    EXPECT_EQ(saying(process(), "the clips of L1 and L2 may be exchanged"), 1);
}

TEST_F(SpoiledSite, NeitherDrawsNorPricesWhatWasNotedBeyondTheEndOfARun) {
    write("notes.csv", text_of(folder_ / "notes.csv") + "L1,99,,crushed pipe,collapse,\n");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_EQ(saying(outcome, "\"crushed pipe\" lies 34.6 ft beyond the end of the run"), 1);
    for (const json& note : layer("observations")) EXPECT_NE(note.at("category"), "collapse");
    for (const json& row : layer("replacements")) EXPECT_GT(row.at("length_m").get<double>(), 0.5);
    for (const json& row : layer("quantities")) {
        EXPECT_EQ(row.at("condition").get<std::string>().find("collapse"), std::string::npos);
    }
}

TEST_F(SpoiledSite, NeedsNoDateForItsLoadTest) {
    change("job.csv", "date,2026-05-14\n", "");
    EXPECT_EQ(process().exit_code, 0);
    EXPECT_FALSE(layer("load_test").at(0).at("volume_in_l").is_null());
}

TEST_F(SpoiledSite, TellsThatItsPicturesCountInFeetWhenTheTableSaysMetres) {
    change("job.csv", "length unit,ft", "length unit,m");
    EXPECT_EQ(saying(process(), "every picture that shows a unit counts in feet"), 1);
}

TEST_F(SpoiledSite, UsesNeitherDepthsNorHeadingsOfExchangedColumns) {
    change("fixes.csv", "depth (in),heading", "heading,depth (in)");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_EQ(saying(outcome, "The columns depth and heading look exchanged"), 1);
    EXPECT_EQ(saying(outcome, "The heading of fix"), 0);
    for (const json& run : layer("pipe_runs")) {
        if (run.at("max_depth_m").is_null()) continue;
        EXPECT_LT(run.at("max_depth_m").get<double>(), 1.0) << run.at("run_id");  // of the tapes
    }
}

// True figures of the sample: tests/made/sample_site.cpp.
TEST_F(SpoiledSite, NamesTheStructureWhoseRodWasReadAFootWrong) {
    change("levels.csv", "1,box,,5.06", "1,box,,4.06");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "The ground levelled or given at box stands"), 1);
    EXPECT_EQ(saying(outcome, "The ground levelled or given at fix"), 0);
    EXPECT_EQ(saying(outcome, "falls the wrong way"), 0);
    const std::map<std::string, double> true_slope = {{"EL", 1.25}, {"L1", 0.35}, {"L2", 0.4}};
    for (const auto& [id, slope] : true_slope) {
        const json run = row_of(layer("pipe_runs"), "run_id", id);
        if (run.at("slope_pct").is_null()) continue;
        EXPECT_NEAR(run.at("slope_pct").get<double>(), slope,
                    2.5 * run.at("slope_sd_pct").get<double>())
            << id;
    }
}

TEST_F(SpoiledSite, MeasuresNoRunBetterOrWorseForARodWithItsPointInTheWrongPlace) {
    change("levels.csv", "2,F19,,4.31", "2,F19,,43.1");
    process();
    const json run = row_of(layer("pipe_runs"), "run_id", "L1");
    EXPECT_LT(run.at("length_lo95_m").get<double>(), 19.05);
    EXPECT_GT(run.at("length_hi95_m").get<double>(), 19.05);
}

TEST_F(SpoiledSite, GivesNoGradeFromATapeThatAllDepthsContradict) {
    change("runs.csv", "\"2' 4\"\"\"", "\"3' 4\"\"\"");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "taped at box) contradicts the depths"), 1);
    EXPECT_EQ(saying(outcome, "A tape or a rod off by 1 ft would explain it."), 1);
    EXPECT_TRUE(row_of(layer("pipe_runs"), "run_id", "EL").at("slope_pct").is_null());
}

TEST_F(SpoiledSite, DrawsNoMirrorImageOfItselfWithoutMinusSigns) {
    for (const char* table : {"fixes.csv", "structures.csv"}) {
        std::string all = text_of(folder_ / table);
        for (std::size_t at = 0; (at = all.find(",-92", at)) != std::string::npos;) {
            all.replace(at, 4, ",92");
        }
        write(table, all);
    }
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_EQ(saying(outcome, "mirror image"), 1);
    EXPECT_EQ(saying(outcome, "off the line"), 0);
    for (const json& run : layer("pipe_runs")) {
        EXPECT_NE(run.at("placement"), "placed");
        EXPECT_FALSE(run.at("length_m").is_null());
    }
}

TEST_F(SpoiledSite, SaysOnceThatFromAndToOfARunLookExchanged) {
    change("runs.csv", "tank out,box", "box,tank out");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "From and to of run EL look exchanged"), 1);
    EXPECT_EQ(saying(outcome, "its position was not used"), 1);  // of F17, as ever
    EXPECT_TRUE(row_of(layer("pipe_runs"), "run_id", "EL").at("slope_pct").is_null());
}

TEST_F(SpoiledSite, TellsOfAClockThatIsAnHourOffOnceAndOfEachFixOnce) {
    change("fixes.csv", "id,run,counter,video time,", "id,run,counter,clock,");
    change("fixes.csv", "F9,EL,,30.5,", "F9,EL,,10:20:30,");
    change("fixes.csv", "F10,EL,28.0,,", "F10,EL,,10:20:40,");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "were 1 h ahead of that of the footage"), 1);
    EXPECT_EQ(saying(outcome, "Fix F9 has no place"), 1);
}

TEST_F(SpoiledSite, CallsNoPaperWrongByAPipeThatCouldNotBePushedToItsEnd) {
    EXPECT_EQ(saying(process(), "only 120 ft"), 1);
    change("runs.csv", "box,,open,4,PVC perforated,,\"2' 10.5\"",
           "box,,broken,4,PVC perforated,,\"2' 10.5\"");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "only 120 ft"), 0);
    EXPECT_EQ(saying(outcome, "the push stopped 52.5 ft from the start"), 1);
    EXPECT_EQ(outcome.runs[3].to, "stopped");
}

// 24.5 and 26.5 in written down without a unit are feet in this job: 7.5 m deep.
TEST_F(SpoiledSite, NamesTheUnitOfTapesThatTheDepthsContradictAndUsesNone) {
    change("runs.csv", "\"2' 0.5\"\"\",\"2' 2.5\"\"\"", "24.5,26.5");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "In inches they would fit. They were not used."), 1);
    const json run = row_of(layer("pipe_runs"), "run_id", "BS");
    EXPECT_TRUE(run.at("slope_pct").is_null());
    EXPECT_LT(run.at("max_depth_m").get<double>(), 1.0);
}

}  // namespace
}  // namespace sondeline
