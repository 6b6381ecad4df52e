#include <numbers>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Optional;

constexpr double kDegree = std::numbers::pi / 180.0;

Job with(std::string_view rows) {
    JobOnDisk job;
    job.file("job.csv", "key,value\n" + std::string(rows));
    return job.read();
}

TEST(Settings, AreReadByTheirKeys) {
    const Job job = with(
        "Site,\"Lot 4, back yard\"\ndate,2026-05-14\nPrepared By,A. Tech\nprepared_for,Owner\n"
        "CRS,epsg:26915\nlength unit,ft\nvertical datum,EPSG:5703\nutc "
        "offset,-05:00\nnorth,magnetic\n"
        "ground datum,ellipsoid\nreceiver offset,1.5 m\n"
        "declination,3.5 W\nsonde setback,4 in\nreel,big\nsonde-height,1 in\nlevel ground,yes\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
    EXPECT_EQ(job.settings.site, "Lot 4, back yard");
    EXPECT_EQ(job.settings.date, "2026-05-14");
    EXPECT_EQ(job.settings.prepared_by, "A. Tech");
    EXPECT_EQ(job.settings.prepared_for, "Owner");
    EXPECT_EQ(job.settings.crs, "EPSG:26915");
    EXPECT_THAT(job.settings.length_unit, Optional(LengthUnit::foot));
    EXPECT_EQ(job.settings.vertical_datum, "EPSG:5703");
    EXPECT_EQ(job.settings.ground_datum, "ellipsoid");
    EXPECT_THAT(job.settings.receiver_offset_m, Optional(1.5));
    EXPECT_EQ(job.settings.utc_offset_s, -5 * 3600.0);
    EXPECT_EQ(job.settings.north, NorthReference::magnetic);
    EXPECT_NEAR(job.settings.declination_rad.value(), -3.5 * kDegree, 1e-12);
    EXPECT_NEAR(job.settings.sonde_setback_m, 4 * 0.0254, 1e-12);
    EXPECT_EQ(job.settings.reel, "big");
    EXPECT_NEAR(job.settings.sonde_height_m.value(), 0.0254, 1e-12);
    EXPECT_TRUE(job.settings.level_ground);
}

TEST(Settings, SayWhatDiggingIsPricedBy) {
    const Job job = with(
        "length unit,ft\ndepth bands,4; 1.5 m; 10 ft\ntrench width,30 in\ntrench side slope,1.5\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
    EXPECT_THAT(job.settings.depth_bands_m,
                testing::ElementsAre(testing::DoubleNear(1.2192, 1e-12), 1.5,
                                     testing::DoubleNear(3.048, 1e-12)));
    EXPECT_NEAR(job.settings.trench_width_m.value(), 0.762, 1e-12);
    EXPECT_EQ(job.settings.trench_side_slope, 1.5);
}

TEST(Settings, RefuseBandsThatDoNotRiseAndTrenchesNobodyDigs) {
    for (const char* row : {"depth bands,5 ft; 4 ft\n", "depth bands,deep\n", "depth bands,0; 4\n",
                            "depth bands,4 ft;;5 ft\n", "trench width,0\n",
                            "trench side slope,-1\n", "trench side slope,1000\n"}) {
        const Job job = with(std::string("length unit,ft\n") + row);
        EXPECT_EQ(job.findings.size(), 1U) << row << text_of(job.findings);
        EXPECT_TRUE(job.settings.depth_bands_m.empty()) << row;
        EXPECT_FALSE(job.settings.trench_width_m) << row;
        EXPECT_FALSE(job.settings.trench_side_slope) << row;
    }
}

// 24 in, 0.6 m and 600 mm are usual widths of a drain's trench, 6 in that of a trencher's, and
// bands end at 4 ft and 5 ft (OSHA 29 CFR 1926.651 and .652) or at a few metres (common practice,
// no source).
TEST(Settings, OfDiggingWithoutAUnitAreNotUsedWhereTheyMustBeInAnother) {
    const auto only_finding = [](const std::string& rows) {
        const Job job = with(rows);
        EXPECT_EQ(job.findings.size(), 1U) << rows << text_of(job.findings);
        EXPECT_FALSE(job.settings.trench_width_m) << rows;
        EXPECT_TRUE(job.settings.depth_bands_m.empty()) << rows;
        return job.findings.empty() ? "" : job.findings[0].what + " " + job.findings[0].what_to_do;
    };
    EXPECT_EQ(
        only_finding("length unit,ft\ntrench width,24\n"),
        "The trench width '24' is not a width that drains are dug: it would be 7.32 m (24.0 "
        "ft). Write it with its unit; it would be usual in inches ('24 in'). The usual width, "
        "2 ft (0.61 m), was taken.");
    EXPECT_THAT(only_finding("length unit,ft\ntrench width,0.6\n"),
                HasSubstr("in metres ('0.6 m')"));
    EXPECT_THAT(only_finding("length unit,m\ntrench width,2\n"), HasSubstr("in feet ('2 ft')"));
    EXPECT_THAT(only_finding("length unit,m\ntrench width,600\n"),
                HasSubstr("in millimetres ('600 mm')"));
    EXPECT_THAT(only_finding("length unit,ft\ndepth bands,48;60\n"),
                HasSubstr("in inches ('60 in')"));
    EXPECT_THAT(only_finding("length unit,ft\ndepth bands,1.2;1.5\n"),
                HasSubstr("in metres ('1.5 m')"));
    EXPECT_THAT(only_finding("length unit,ft\ntrench width,24 ft\n"), HasSubstr("24.0 ft"));
}

TEST(Settings, OfDiggingWithTheirUnitMayBeUnusual) {
    const Job job = with("length unit,ft\ndepth bands,15 ft; 30 ft\ntrench width,6 in\n");
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
    EXPECT_NEAR(job.settings.trench_width_m.value_or(0.0), 0.1524, 1e-12);
    EXPECT_EQ(job.settings.depth_bands_m.size(), 2U);
}

TEST(Settings, HaveDefaultsWithoutAJobTable) {
    const JobOnDisk folder;
    const Job job = folder.read();
    EXPECT_EQ(job.settings.site, folder.path().filename().string());
    EXPECT_EQ(read_job_folder(folder.path() / "").settings.site, job.settings.site);
    EXPECT_EQ(job.settings.crs, "");
    EXPECT_FALSE(job.settings.length_unit);
    EXPECT_EQ(job.settings.vertical_datum, "local");
    EXPECT_EQ(job.settings.ground_datum, "");
    EXPECT_FALSE(job.settings.receiver_offset_m);
    EXPECT_EQ(job.settings.north, NorthReference::true_north);
    EXPECT_FALSE(job.settings.level_ground);
}

TEST(Settings, ThatAreUnknownOrRepeatedAreReported) {
    const Job job = with("colour,red\nsite,A\nsite,B\n,orphan\n");
    EXPECT_EQ(job.settings.site, "A");
    EXPECT_THAT(job.findings, Contains(Finds("job.csv row 2 column key", "'colour' is not known")));
    EXPECT_THAT(job.findings, Contains(Finds("job.csv row 4", "again as 'B'")));
    EXPECT_THAT(job.findings, Contains(Finds("job.csv row 5", "no key")));
}

TEST(Settings, ThatMakeNoSenseAreReportedAndLeftAtTheirDefaults) {
    const Job job = with(
        "date,14 May\nutc offset,noon\ncrs,EPSG:999999\nnorth,up\ndeclination,far\nlength "
        "unit,rod\n"
        "level ground,maybe\nsonde setback,-2 in\n");
    EXPECT_EQ(job.settings.date, "");
    EXPECT_EQ(job.settings.crs, "");
    EXPECT_EQ(job.settings.sonde_setback_m, 0.0);
    for (const char* what :
         {"'14 May' is not a date that can be read one way only", "'noon' is not an offset",
          "'EPSG:999999' is not a coordinate system", "'up' is not a north",
          "'far' is not a declination", "'rod' is not a unit", "'maybe' is not yes or no",
          "'-2 in' is not a depth"}) {
        EXPECT_THAT(job.findings, Contains(Finds("job.csv", what))) << text_of(job.findings);
    }
}

TEST(Settings, OfATransmitterAreWithinReachOfAHeadInAPipe) {
    const Job job = with("length unit,ft\nsonde setback,6\nsonde height,2.5\n");
    EXPECT_EQ(job.settings.sonde_setback_m, 0.0);
    EXPECT_FALSE(job.settings.sonde_height_m.has_value());
    EXPECT_THAT(job.findings, Contains(Finds("job.csv row 3", "it would be 1.83 m")));
    EXPECT_THAT(job.findings, Contains(Finds("job.csv row 4", "it would be 0.76 m")));
}

TEST(Settings, NeverLookUpACoordinateSystemElsewhere) {
    for (const char* crs : {"http://example.com/crs", "+proj=utm +zone=15", "/etc/passwd",
                            "EPSG:26915+5703", "EPSG:"}) {
        const Job job = with("crs,\"" + std::string(crs) + "\"\n");
        EXPECT_EQ(job.settings.crs, "");
        EXPECT_THAT(job.findings, Contains(Finds("job.csv row 2", "is not a coordinate system")));
    }
}

TEST(Settings, WithASystemInDegreesTakeXAndYForLongitudeAndLatitude) {
    JobOnDisk folder;
    folder.file("job.csv", "key,value\ncrs,EPSG:4326\n");
    folder.file("structures.csv", "id,x,y\nT1,-92.5,40\n");
    const Job job = folder.read();
    EXPECT_EQ(job.settings.crs, "");
    EXPECT_TRUE(job.structures.at(0).position->geographic);
    EXPECT_THAT(job.findings, Contains(Finds("job.csv", "counts in degrees")));
}

TEST(Settings, WithMagneticNorthNeedADeclination) {
    EXPECT_THAT(with("north,magnetic\n").findings,
                Contains(Finds("job.csv", "no usable declination")));
}

TEST(Settings, ReadDeclinationsEastPositive) {
    EXPECT_NEAR(with("declination,-12.25\n").settings.declination_rad.value(), -12.25 * kDegree,
                1e-12);
    EXPECT_NEAR(with("declination,12 E\n").settings.declination_rad.value(), 12 * kDegree, 1e-12);
    EXPECT_FALSE(with("declination,-3 W\n").settings.declination_rad);
    EXPECT_FALSE(with("declination,E\n").settings.declination_rad);
}

TEST(BareLengths, AreInTheJobsUnit) {
    JobOnDisk folder;
    folder.file("job.csv", "key,value\nlength unit,us-ft\n");
    folder.file("structures.csv", "id,ground\nT1,3937\n");
    const Job job = folder.read();
    EXPECT_NEAR(job.structures.at(0).ground_m->value, 1200.0, 1e-9);  // 1200/3937 m each, SP 811
    EXPECT_THAT(job.findings, IsEmpty()) << text_of(job.findings);
}

TEST(BareLengths, AreFeetWhenTheCountersAreSaidToShowFeet) {
    JobOnDisk folder;
    folder.file("runs.csv", "id,status,counter_unit\nL1,not entered,ft\n");
    folder.file("structures.csv", "id,ground\nT1,100\n");
    const Job job = folder.read();
    EXPECT_NEAR(job.structures.at(0).ground_m->value, 30.48, 1e-9);
    EXPECT_FALSE(job.settings.length_unit);
    EXPECT_THAT(job.findings, Contains(Finds("", "were read in ft")));
}

TEST(BareLengths, AreMetresOtherwiseWithACaution) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,ground\nT1,100\n");
    const Job job = folder.read();
    EXPECT_EQ(job.structures.at(0).ground_m->value, 100.0);
    EXPECT_THAT(job.findings, Contains(Finds("", "were read as metres")));
}

TEST(BareLengths, AreInTheUnitOfTheOverlayWhenNoTableSaysOne) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,ground\nT1,100\n");
    EXPECT_TRUE(folder.read().unit_open);
    const Job job = read_job_folder(folder.path(), LengthUnit::foot);
    EXPECT_NEAR(job.structures.at(0).ground_m->value, 30.48, 1e-9);
    EXPECT_THAT(job.findings, Contains(Finds("", "because the counters in the footage show it")));
}

// The unit stays that of the table, but a height that may be in either is not used.
TEST(BareLengths, AreNoHeightsWhereTheTableSaysOneUnitAndEveryPictureAnother) {
    JobOnDisk folder;
    folder.file("job.csv", "key,value\nlength unit,m\n");
    folder.file("structures.csv", "id,ground,x,y\nT1,100,5,7\nT2,100 m,9,7\n");
    EXPECT_FALSE(folder.read().unit_open);
    const Job job = read_job_folder(folder.path(), LengthUnit::foot);
    EXPECT_FALSE(job.structures.at(0).ground_m.has_value());
    ASSERT_TRUE(job.structures.at(1).ground_m.has_value());
    EXPECT_EQ(job.structures.at(1).ground_m->value, 100.0);
    EXPECT_THAT(job.findings, Contains(Finds("length unit", "were not used")));
}

TEST(BareLengths, NeedNoCautionWhenEveryLengthHasItsUnit) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,ground,h_accuracy (mm)\nT1,100 m,20\n");
    EXPECT_THAT(folder.read().findings, IsEmpty());
}

TEST(Settings, WriteTheDateOneWayHoweverItWasTyped) {
    for (const char* typed : {"2026-05-14", "14.05.2026", "5/14/2026", "2026/05/14 00:00:00"}) {
        JobOnDisk job;
        job.file("job.csv", std::string("key,value\ndate,") + typed + "\n");
        EXPECT_EQ(job.read().settings.date, "2026-05-14") << typed;
    }
    JobOnDisk job;
    job.file("job.csv", "key,value\ndate,5/6/2026\n");
    EXPECT_EQ(job.read().settings.date, "");
}

}  // namespace
}  // namespace sondeline
